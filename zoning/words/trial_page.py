"""Sentences of the page, picture and report of a trial."""

SENTENCES: dict[str, str] = {
    # the answer
    "trial_page.paid": "The pass paid: it returned {net} {area} above its cost",
    "trial_page.did_not_pay": "The pass did not pay: it lost {net} {area}",
    "trial_page.zones": "Spraying {told}",
    "trial_page.zone_paid": "paid in {zones}{net}",
    "trial_page.zone_did_not": "did not pay in {zones}{net}",
    "trial_page.zone_would_have": "would have paid in {zones}{net}",
    "trial_page.zone_would_not_have": "would not have paid in {zones}{net}",
    "trial_page.zone_cannot": "cannot tell in {zones}{net}",
    "trial_page.zone_net": " ({net} {area})",
    "trial_page.zone_likely": " ({net} {area}, chance {chance})",
    "trial_page.zone_chance": "zone {zone}: {chance}",
    "trial_page.cannot_tell": (
        "Cannot tell whether the pass paid: it returned {span} {unit}, and {needed} pays for it"
    ),
    "trial_page.no_money": "Treated strips yielded {mean} {unit} more; no costs are known",
    "trial_page.no_money_less": "Treated strips yielded {mean} {unit} less; no costs are known",
    "trial_page.no_pair": "Cannot tell whether the pass paid: no pair of strips counts",
    "trial_page.more": "{strips}: treated strips yielded {mean} {unit} more than untreated ones",
    "trial_page.less": "{strips}: treated strips yielded {mean} {unit} less than untreated ones",
    "trial_page.with_span": "{more}, {span} with 90 % confidence",
    "trial_page.surely": "with 90 % confidence the true response lies between {span} {unit}",
    "trial_page.would_tell": "about {pairs} pairs like these would tell",
    "trial_page.of_pooled": "with one pair the spread is that of other trials, not of this field",
    "trial_page.wetter": "treated strips were {points:.1f} points wetter at harvest",
    "trial_page.drier": "treated strips were {points:.1f} points drier at harvest",
    "trial_page.as_wet": "treated and untreated strips were equally wet at harvest",
    "trial_page.relabelled": (
        "by chance alone: of all ways to swap the strips within pairs, {percent} differ as much"
    ),
    "trial_page.relabelled_least": "{said}, the least that {count} pairs can show",
    # strips
    "trial_page.one_pair": "1 pair of strips",
    "trial_page.pairs": "{count} pairs of strips",
    "trial_page.some_pairs": "{count} of {all} pairs of strips count",
    "trial_page.pair_out": "{pair} does not count: {why}",
    "trial_page.sources": "strips {laid}; what was sprayed {sprayed}",
    "trial_page.laid_design": "as laid with the plan",
    "trial_page.laid_as_applied": "as found in the sprayer's own file",
    "trial_page.laid_drawn": "as drawn by hand",
    "trial_page.sprayed_as_applied": "by the sprayer's own file",
    "trial_page.sprayed_done": "by the record of the pass",
    "trial_page.sprayed_drawn": "by whoever drew the strips",
    # money
    "trial_page.pays_from": (
        "{needed} {unit} pays for the pass: {cost} {per_area} of cost at {price} {bushel}"
    ),
    "trial_page.net": "net {net} {area}, {span} with 90 % confidence; chance that it paid {chance}",
    "trial_page.net_all": (
        "net {net} {area} over all zones, {span} with 90 % confidence; chance that it paid {chance}"
    ),
    "trial_page.in_all": "{usd} in all",
    "trial_page.tracks": "{tracks} {unit} of what pays is crop under new wheel tracks",
    # numbers
    "trial_page.n_response": "response",
    "trial_page.n_needed": "pays from",
    "trial_page.n_net": "net",
    "trial_page.n_net_all": "net, over all zones",
    "trial_page.n_chance": "chance that it paid",
    "trial_page.n_chance_all": "chance, over all zones",
    "trial_page.n_pairs": "pairs that count",
    "trial_page.n_yield": "mean yield",
    "trial_page.n_points": "points kept",
    "trial_page.below_interval": "{span}, 90 % interval",
    "trial_page.below_needed": "{cost} {area} at {price} {bushel}",
    "trial_page.of": "of {all}",
    "trial_page.below_kept": "of {all}; {percent} left out",
    "trial_page.below_yield": "of all points that are kept",
    # zones and decisions
    "trial_page.told_paid": "paid",
    "trial_page.told_not": "did not pay",
    "trial_page.told_open": "cannot tell",
    "trial_page.told_of_field": "field: {told}",
    "trial_page.right": "right",
    "trial_page.wrong": "wrong",
    "trial_page.open": "cannot tell",
    "trial_page.untested": "not tested",
    "trial_page.judged": "of {count} decisions {right} right, {wrong} wrong, {open} not to be told",
    "trial_page.skip": "skip",
    "trial_page.spray": "spray",
    # what was left out
    "trial_page.cleaned": "{removed} of {all} points left out ({percent}), blind to what was treated",
    "trial_page.took_none": "no point went by these rules: {names}",
    "trial_page.rule": "{name} {removed}",
    "trial_page.lag": (
        "yields were moved by {amount} along the passes, for the way of the grain to the sensor: passes side "
        "by side then agree best ({before:.2f} before, {after:.2f} after)"
    ),
    "trial_page.seconds": "{amount:.1f} s",
    "trial_page.late_points": "{amount:.0f} points",
    # belief
    "trial_page.before": "before own trials",
    "trial_page.data": "own trials say",
    "trial_page.after": "believed now",
    "trial_page.pressure_low": "low pressure",
    "trial_page.pressure_unknown": "unknown pressure",
    "trial_page.pressure_medium": "medium pressure",
    "trial_page.pressure_high": "high pressure",
    "trial_page.pressure_seen": "disease seen",
    "trial_page.belief": "{pressure}: next season {after} {unit}, before own trials {before}",
    "trial_page.belief_pays": "{belief}; chance above what pays {after} instead of {before}",
    "trial_page.pays": "pays {chance}",
    "trial_page.belief_beyond": (
        "{pressure}: what is believed now lies beyond the other two, for trials also tell how likely a "
        "season of much response is"
    ),
    "trial_page.paid_is_told": ("paid or not is said where the whole interval lies on one side of what pays"),
    "trial_page.belief_picture": (
        "Response of a next season, {pressure}, in {unit}: before own trials {before}, own "
        "trials say {data}, believed now {after}"
    ),
    # book
    "trial_page.book_bin": "chances of {name}: forecast {forecast}, paid {paid} ({of})",
    "trial_page.zones_one": "1 zone",
    "trial_page.zones_many": "{count} zones",
    "trial_page.fields_one": "1 field",
    "trial_page.fields_many": "{count} fields",
    "trial_page.trials_one": "1 trial",
    "trial_page.trials_many": "{count} trials",
    "trial_page.no_season": "no strip was harvested yet, and no season is in the book",
    "trial_page.so_far": "{seasons}, {fields}, {trials} with strips",
    "trial_page.seasons_one": "1 season",
    "trial_page.seasons_many": "{count} seasons",
    "trial_page.chances": (
        "mean squared error of the chances {ours:.2f} (0 is best); of always saying their mean {mean:.2f}"
    ),
    "trial_page.r3": (
        "R3 came {days:.1f} d {seen} than forecast in {name} ({seasons}); {shrunk:.1f} d {lasts} is expected "
        "of that {kind} next year"
    ),
    "trial_page.later": "later",
    "trial_page.earlier": "earlier",
    # map
    "trial_page.mean": "mean",
    "trial_page.treated_less": "treated less untreated strip",
    "trial_page.by_zone": "ring: as seen in a zone; bar: likely, with its 90 % interval",
    "trial_page.zone": "zone {zone}",
    "trial_page.zones_on_map": "{first} to {last}: zones",
    "trial_page.map": "Map of {field}, grid north up: yield of each spot, {strips}",
    "trial_page.ramp": "yield, {unit}",
    "trial_page.treated": "treated strip",
    "trial_page.untreated": "untreated strip",
    "trial_page.left_out": "left out",
    # the file
    "trial_page.harvested": "harvest of {days}",
    "trial_page.season": "season {season}",
    "trial_page.sprayed_on": "sprayed {days}",
    "trial_page.more_rows": "{count} more on trial.html",
    "trial_page.column": "{role}: {column}",
    "trial_page.column_in": "{role}: {column} ({unit})",
    "trial_page.read": "Read from {file}: {columns}",
    "trial_page.this_season": (
        "this field, this season, this product: another season may differ by more than strips can show"
    ),
    "trial_page.no_label": (
        "no reason to spray by itself: the product label and local rules decide whether a pass is allowed"
    ),
    "trial_page.rule_map": "Map of the field with the {count} points left out by the rule: {rule}",
}
