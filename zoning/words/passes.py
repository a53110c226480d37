"""Sentences about passes, the label, and who is kept out of a field."""

SENTENCES: dict[str, str] = {
    "passes.walk_re_entry": (
        "nobody walks in before {first:%b} {first.day}: the re-entry interval of the pass of "
        "{on} runs to {over:%Y-%m-%d %H:%M}"
    ),
    "passes.walk_no_interval": (
        "no walk is suggested here: {product} was sprayed on {on} and its re-entry interval is "
        "not given; it stands on the label in hand"
    ),
    "passes.below_label_minimum": (
        "{volume_gal_ac:g} gal/ac ({volume_l_ha:.0f} L/ha) is below the label minimum "
        "of {least_gal_ac:g} gal/ac ({least_l_ha:.0f} L/ha) for this kind of sprayer"
    ),
    "passes.not_by_air": "the label as entered does not allow application by air",
    "passes.not_by_drone": "the label as entered does not allow application by drone",
    "passes.no_air_minimum": (
        "the label minimum carrier volume by air is not entered (setting: min_carrier_air)"
    ),
    "passes.past_latest_stage": (
        "from {first:%Y-%m-%d} on {after} may have begun, and the label as entered allows spraying "
        "up to {latest}"
    ),
    "passes.past_pre_harvest": (
        "from {first:%Y-%m-%d} on the pre-harvest interval of {interval_d} d may reach past maturity (R7), "
        "though harvest comes some days later"
    ),
    "passes.visit_too_long": (
        "no pass over it would be done in time: it may take {days:.0f} days at most, all of them days on "
        "which it pays, and these have {hours:.1f} spray hours each"
    ),
    "passes.no_hours": (
        "no day on which it would pay has a spray hour to plan on; `sprayworth hours` says what stands "
        "against each hour"
    ),
    "passes.pass_loses": (
        "pays by itself, but the whole pass with it would lose {usd:.0f} USD once visit and wheel tracks "
        "are paid"
    ),
    "passes.pass_below_min_net": (
        "pays by itself, but the whole pass with it would return {usd:.0f} USD once visit and wheel tracks "
        "are paid, which is not above your min_net"
    ),
    "passes.pass_without_it": (
        "pays by itself, but the best passes return more without it: crop pressed down on the way, or hours"
    ),
    "passes.only_another_day": (
        "pays on another day than the visits of the plan, but not enough for the plan to change"
    ),
    "passes.hours_elsewhere": (
        "a pass with it would return {usd:.0f} USD, but its hours bring more in other fields: one more spray "
        "hour in its window would be worth about {usd_h:.0f} USD to the farm"
    ),
    "passes.hours_taken": (
        "a pass with it would return {usd:.0f} USD, but other fields bring more in the hours that it needs, "
        "and what they leave is too short for it"
    ),
    "passes.left_out_of_visit": (
        "pays by itself, but pass {number} returns more without it: crop pressed down on the way, or hours"
    ),
    "passes.own_pass_loses": (
        "returns more than treating its acres costs, but not enough for a pass: pass {number} returns more "
        "without it, and a pass of its own would lose {usd:.0f} USD once visit and wheel tracks are paid"
    ),
    "passes.treated": "sprayed on {days}; a second pass is not priced here",
    "passes.season_used": "sprayed on {days}; {why}",
    "passes.early_pass": (
        "{product} was sprayed here on {days}, before flowering: it counts against the season's limits, and "
        "what a pass after it returns is taken to be what a first one would"
    ),
    "passes.other_product": (
        "{product} was sprayed here on {days}: it does not count against the season's limits of {ours}"
    ),
    "passes.zone_not_known": (
        "done.csv says that zone {zones} was sprayed on {days}, but the field has no such zone now: it is "
        "counted for none"
    ),
    "passes.strips_fewer": "{laid} of {asked} pairs of check strips are laid: {why}",
    "passes.strips_short": (
        "no two swaths side by side hold {least_ft:.0f} ft ({least_m:.0f} m) of crop each, as a strip must"
    ),
    "passes.strips_narrow": (
        "inside the edges of the field only {swaths} swaths of {boom_ft:.0f} ft ({boom_m:.0f} m) hold "
        "{least_ft:.0f} ft ({least_m:.0f} m) of crop, and a pair takes two"
    ),
    "passes.strips_unlike": "elsewhere two swaths side by side do not cross the same zones",
    "passes.strips_none": (
        "no check strips are laid, so harvest will not show whether this pass paid; four pairs would, and "
        "the plan then says what they cost (setting: pairs = 4 in [check_strips])"
    ),
    "passes.strips_one_pair": (
        "one pair of check strips shows nothing, as there is no second one to tell chance from response by "
        "(setting: pairs in [check_strips])"
    ),
    "passes.strips_other_pass": (
        "where the boom is off, check strips get no {other} either: they then show what both are worth "
        "together; to see the fungicide alone, spray the {other} in a pass of its own"
    ),
    "passes.strips_header": (
        "the combine's header ({header_ft:.0f} ft, {header_m:.1f} m) is wider than a check strip "
        "({strip_ft:.0f} ft, {strip_m:.1f} m): no full pass of the combine fits into one, so its yield is "
        "mixed with that beside it"
    ),
    "passes.map_simpler": (
        "the map of pass {number} is made simpler, for old terminals take at most {most:.0f} polygons and "
        "{most_kb:.0f} KB; it has {after} polygons instead of {before}: {area_ac:.1f} ac ({area_ha:.1f} ha) "
        "get the rate of a neighbour, {moved}"
    ),
    "passes.edges_move": "edges move by up to {moved_ft:.0f} ft ({moved_m:.1f} m)",
    "passes.no_edge_moves": "no edge moves",
    "passes.map_too_large": (
        "the map of pass {number} has {before} polygons and {size_kb:.0f} KB; old terminals take at most "
        "{most:.0f} polygons and {most_kb:.0f} KB, and no small change makes it fit, so it stays as it is: "
        "load it before the day of spraying to see whether yours takes it"
    ),
    "passes.runs_too_short": (
        "{runs_ac:.1f} ac ({runs_ha:.1f} ha) of the treated ground lie in runs, and {gaps_ac:.1f} ac "
        "({gaps_ha:.1f} ha) of the rest in gaps, of less than the {least_ft:.0f} ft ({least_m:.0f} m) in "
        "which its sections switch off and on: as much as {percent:.1f} % of the treated ground, where "
        "{most:.0f} % are let pass"
    ),
    "passes.some_runs_short": (
        "{runs_ac:.1f} ac ({runs_ha:.1f} ha) of the treated ground lie in runs, and {gaps_ac:.1f} ac "
        "({gaps_ha:.1f} ha) of the rest in gaps, of less than the {least_ft:.0f} ft ({least_m:.0f} m) in "
        "which the sections switch off and on: drive slower there, or the map is not followed to its edges"
    ),
    "passes.no_one_speed": (
        "{low_gal_ac:.4g} and {high_gal_ac:.4g} gal/ac ({low_l_ha:.0f} and {high_l_ha:.0f} L/ha) in one map "
        "lie {ratio:.2f} times apart, and no speed of the machine holds both: at one speed its volumes can "
        "differ {most:.2f} times"
    ),
}
