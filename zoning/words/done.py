"""Sentences about what was sprayed: records, files of the machine, and zones that are kept."""

SENTENCES: dict[str, str] = {
    "done.record": (
        "a form to fill in, and no more: it does not claim to meet the law of any country or state; ask "
        "there what a record must hold and how long it is kept"
    ),
    "done.record_planned": "what stands here was planned: cross out what was done otherwise",
    "done.zones_kept": (
        "a part of this field was sprayed, so its zones stay as they were then, with their numbers ({file}); "
        "new layers move none of them this season"
    ),
    "done.nothing": "no pass is recorded",
    "done.waiting": "not recorded yet",
    "done.coming": "still to come",
    "done.how": (
        "record a pass that was made: sprayworth done FARM --field FIELD --pass NUMBER --end DAY; one that "
        "was not made needs nothing: run again for a new plan"
    ),
    "done.no_plan": "there is no plan here yet: run it to see which pass is due",
    "done.from_plan": "taken from the plan, as nobody typed it: {what}",
    "done.shares": "treated share of each zone by the machine's file: zone {shares}",
    "done.run_again": "run the field or the farm again for a plan without what is sprayed",
    "done.rate_unit": (
        "the column {column} of {file} does not name its unit and was read in {unit}, the farm's; if it is "
        "another, name the rate with --rate"
    ),
    "done.from_points": (
        "{file} holds points: between two that follow each other the whole boom counts as on, unless one has "
        "no rate or they lie further apart than the boom is wide"
    ),
    "done.outside": "{percent:.0f} % of what {file} treats lies outside the field",
    "done.partly": "zone {zone} was sprayed in {percent:.0f} % of its area and counts as {counted}",
    "done.other_product": (
        "{product} is not the product of farm.toml ({ours}): it does not count against its limits, and "
        "closes no zone"
    ),
    "done.other_sprayer": (
        "farm.toml has no sprayer called {sprayer} ({names}): its wheel tracks are not used again"
    ),
}
