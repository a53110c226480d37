"""Sentences about the combine's points: lag, rules, what could not be told."""

SENTENCES: dict[str, str] = {
    # what each rule takes, in their order
    "cleaning.outside": "outside the field",
    "cleaning.header_up": "header up",
    "cleaning.stray": "place missing, or far off the way",
    "cleaning.ends": "start and end of a pass",
    "cleaning.no_yield": "no yield can be worked out",
    "cleaning.speed": "driven too slowly or too fast",
    "cleaning.speed_step": "speed jumps",
    "cleaning.flow": "flow or yield far from the rest of its pass",
    "cleaning.distance": "distance far from the rest of its pass",
    "cleaning.moisture": "moisture far from the rest of its pass, or not that of grain",
    "cleaning.narrow": "narrow swath, or part of it cut before",
    "cleaning.limits": "lower or higher than soybeans yield",
    "cleaning.local": "far from its neighbours on the same pass",
    "cleaning.short": "what is left of its pass is short",
    "cleaning.doubled": "ground or place that is in the file already",
    # the lag
    "cleaning.lag_few": (
        "how far the flow lags behind the place cannot be told: too few passes lie side by side that were "
        "driven in opposite directions (pairs: {pairs}); nothing was shifted"
    ),
    "cleaning.lag_flat": (
        "how far the flow lags behind the place cannot be told: passes side by side agree at no lag clearly "
        "better than at others (pairs: {pairs}); nothing was shifted"
    ),
    # what stands in for what a file does not give
    "cleaning.no_moisture": "the file gives no moisture: yields count as if harvested at {percent:.0f} %",
    "cleaning.no_swath": "the file gives no swath: each counts as wide as the header",
    "cleaning.speed_for_distance": "the file gives no distances: they are worked out from the speed",
    "cleaning.place_for_distance": "the file gives no distances: they are worked out from places and times",
    "cleaning.no_distance": "the file gives a flow, but no distances, speeds or times: it gives no yields",
    # passes
    "cleaning.no_passes": "no point lies on a pass with the header down",
    "cleaning.out_of_order": (
        "passes cannot be told: the rows are in no order in which a combine drives; export the file again as "
        "it was logged"
    ),
    "cleaning.no_time": "the file gives no times: the ends of passes are left out by their length",
    "cleaning.twice": "rows that are in the file twice: {rows}; the first of each counts",
    "cleaning.again": "passes on ground that was cut before: {passes}; they do not count",
    "cleaning.close": (
        "passes lie closer together than the header is wide: it usually cuts {percent:.0f} % of its width; "
        "see whether the header's width is right"
    ),
}
