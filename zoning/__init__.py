"""Where, when, whether and how a soybean fungicide pass is worth making.

The data flow once, from left to right; each folder is one of the questions of the job:

    inputs        what we know      files -> tables, and layers on one grid
    sprayer       with what         nozzle, speed and pressure, acres per hour, smallest zone
    zones         where             layers -> management zones
    stage         when              planting + weather -> days of R1 ... R7, as draws
    returns       whether           response, costs, chance that it pays
    passes        how               one schedule of visits: sprayers, half-days, volumes, loads
    prescription  the file          what the operator loads
    show          the page          what people look at

`field.py` is one field from folder to plan, `farm` is many.
"""

__version__ = "0.1.0"
