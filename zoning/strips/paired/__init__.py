"""Points on strips, and pairs of strips compared.

placed     points -> strips, zones and treatments, by what was sprayed
pieces     where both strips of a pair lie side by side in one zone
pairs      stretches side by side -> one difference a pair
why_not    why a pair does not count
cut_apart  pairs whose strips were cut by two combines, or on two days
"""
