"""What goes into the tank: the dose that never changes, the loads of a pass, and its sheet.

dose      amounts of product, and what the label allows in a season
sheet     what a load sheet says, as values
notes     label limits, place and remarks of a sheet
filling   the sheet of one pass, worked out
"""
