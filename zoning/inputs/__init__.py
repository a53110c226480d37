"""What we know: files become tables, and layers on one grid in the field's UTM zone.

`read.field` reads a field folder; `store` is the only writer of inputs.
"""
