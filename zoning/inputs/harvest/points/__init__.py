"""The combine's points of one field, in our units; `read` asks, in this order.

asked    the field, and what settings and options say of its file
rows     the file as columns, whatever its format
columns  which column is what, by name and unit
own      rows of this field and crop
times    the moment of each row
choice   flows or yields, dry or wet
cells    amounts, passes and the header's state, in our units
fits     whether a unit can be right, by what soybeans yield and by the places
doubts   what is odd about the points as a whole
"""
