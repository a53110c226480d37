"""The page with recompute and save, on this computer only: behind `sprayworth desk`.

trust     who may ask: this computer's browser, with the address that the command printed
opened    the folder, and what may be written in it
log       who changed what, when and why: appended to, never rewritten
counts    rows of the scouting files
zones     the number of zones, two made one, one made two, taken back
decided   what the user decided against the figures
history   earlier plans, and what changed since
running   one run at a time, in a thread
app       the requests; `served` listens
"""
