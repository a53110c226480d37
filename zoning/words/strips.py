"""Sentences about check strips: what they cost and can show, and what the operator does on them."""

SENTENCES: dict[str, str] = {
    "strips.line": (
        "check strips: {pairs}, {untreated} of sprayed zones left dry, {treated} of skipped ones sprayed, "
        "{cost}"
    ),
    "strips.net": "{line}: expected net with them {usd}",
    "strips.farm_pairs": "{pairs} {fields}",
    "strips.pass": "{area} with check strips",
    "strips.pass_table": "{unit}: zones alone; with check strips, as on the load sheet: {areas}",
    "strips.pass_in_table": "{field} pass {number} {area}",
    "strips.laid": (
        "check strips are laid in {fields}: {file} in its folder says from now on where they lie, so keep it "
        "until after harvest"
    ),
    "strips.one_field": "in 1 field",
    "strips.fields": "in {fields} fields",
    "strips.one": "1 pair",
    "strips.pairs": "{pairs} pairs",
    "strips.costs": "cost about {usd}",
    "strips.brings": "bring about {usd}",
    "strips.free": "cost nothing",
    "strips.shows": "{pairs} pairs show {response} in {trials:.0f} of 100 trials",
    "strips.shows_nothing": "1 pair shows nothing",
    "strips.off_time": (
        "treated strips of {zones}: pass {number} on {day}, before R3 is likely to begin there; they show "
        "that pass, not a timely one"
    ),
    "strips.map_dry": "check strip, boom off, {area} less sprayed",
    "strips.map_treated": "check strip, treated, {area} more sprayed",
    "strips.map_one": "S1: a pair of check strips, {cost}",
    "strips.map_pairs": "S1 to S{pairs}: pairs of check strips, {cost}",
    "strips.operator": (
        "{which} on the map, a trial: of each pair one strip is left dry. Drive both, do not switch by hand, "
        "spray none later: {dry} of these zones stay dry, {more} of other zones are sprayed"
    ),
}
