"""What we know: files become tables, and layers on one grid in the field's UTM zone.

`read.field` reads a field folder; `store` is the only writer of inputs. In the order of reading:

ground         where it is: boundary, zones that are given, what is never sprayed
planted        what was sown where
weather_files  daily and hourly weather
scouting       what was seen in it
images         images of the canopy and further layers, onto the grid

`done` and `applied` read what was sprayed.
"""
