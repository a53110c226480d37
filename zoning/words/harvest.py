"""Sentences about files of yield points: columns, units, what is doubtful in them."""

SENTENCES: dict[str, str] = {
    "harvest.column_empty": "nothing stands in the column {column}, so it is not used",
    "harvest.empty": "{column} is empty at {count:,} of {whole:,} points",
    "harvest.impossible": (
        "{column} is below 0, infinite or impossible at {count:,} points, which count as empty there"
    ),
    "harvest.units_assumed": (
        "no unit is told for these columns, so they are read in {kind} units as the farm is: {columns}; say "
        "others with --unit or in [harvest.units]"
    ),
    "harvest.took_flow": (
        "yields are worked out from the flow {column}; {other} is not used, unless it is named "
        "with --column yield"
    ),
    "harvest.took_yield": "yields are read from {column}; the flow {other} is not used",
    "harvest.dry_assumed": (
        "{column} does not say whether its yields are dry or wet; they are taken as dry, at the standard "
        'moisture: if they are not, say yields = "wet" under [harvest]'
    ),
    "harvest.moisture_fixed": (
        "all grain is taken to have {percent:.1f} % of moisture, as [harvest] moisture says; the column "
        "{column} is not used"
    ),
    "harvest.field_called": (
        '{column} calls all of the file "{name}", which is no name of this field; it is taken for this field '
        "by its place"
    ),
    "harvest.other_field": "{count:,} points of other fields ({names}) are left out",
    "harvest.other_crop": "{count:,} points of another crop ({names}) are left out",
    "harvest.outside": "points outside the boundary, which do not count: {count:,} of {whole:,}",
    "harvest.mostly_outside": (
        "{percent:.0f} % of the points ({count:,} of {whole:,}) lie outside the boundary and do not count: "
        "check that the file is of this field, and the boundary"
    ),
    "harvest.no_place": "{count:,} points have no place on earth and do not count",
    "harvest.twice": (
        "{count:,} rows say the same as another one, in place, time and amount, as in a file that was "
        "exported twice; cleaning takes them out"
    ),
    "harvest.put_in_order": (
        "rows at which the time goes back: {count:,}, so the points were put in the order of their times"
    ),
    "harvest.time_back": (
        "rows at which the time goes back: {count:,}, the first is row {row}, as where a second combine or "
        "another day begins"
    ),
    "harvest.no_time": (
        "the points have no time, so the order of the rows is taken for the way of the combine"
    ),
    "harvest.track_unused": "{column} changes too often to be the pass of the combine, so it is not used",
    "harvest.header_all_up": (
        "{column} says at every point that the header is up, which cannot be, so it is not used"
    ),
    "harvest.header_unknown": (
        "{column} does not say whether the header is up or down ({shown}), so it is not used"
    ),
    "harvest.other_zones": (
        "the plan of {today:%b} {today.day} was made for other zones than those that are kept of the field: "
        "its decisions are held against zones of the same number, which may lie elsewhere"
    ),
    "harvest.far_from_expected": (
        "the harvest's mean of {seen} {unit} is far from the expected_yield of {expected}: check units and "
        "calibration; differences of strips are off by as much"
    ),
}
