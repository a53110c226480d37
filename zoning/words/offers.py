"""Sentences about the plan of a field."""

SENTENCES: dict[str, str] = {
    "offers.walk": (
        "no count pins R3 in {zones}: the dates are provisional, walk there about {day:%b} {day.day} "
        "and stage {plants:.0f} plants"
    ),
    "offers.unpinned": "no count pins R3 in {zones}: the dates are provisional",
    "offers.count_moved": (
        "zone {zone}: R3 likely {likely:%b} {likely.day} instead of {before:%b} {before.day}, "
        "±{sd:.1f} d, was ±{sd_before:.1f} (counted {on:%b} {on.day}, {text}{more})"
    ),
    "offers.count_kept": (
        "zone {zone}: R3 likely {likely:%b} {likely.day} as before the count, ±{sd:.1f} d, "
        "was ±{sd_before:.1f} (counted {on:%b} {on.day}, {text}{more})"
    ),
    "offers.counts_elsewhere": "{zones}: counts made elsewhere put R3 likely {days} than the model alone",
    "offers.scouted_never_sprayed": (
        "places scouted for disease on ground that is never sprayed, which count for no zone: {count}"
    ),
    "offers.stage_only": "says when R3 begins, not whether a pass pays: no money and response settings",
    "offers.no_dates": "no returns, no passes: R3 is not known in block {blocks}",
    "offers.no_stage": "R3 is not known here",
    "offers.no_yield": "no expected yield given: the response is not cut for poor ground",
    "offers.rain_not_known": (
        "rain since planting counts as normal in block {blocks}: the daily weather says too little of it, "
        "or of fewer than {years:.0f} past years"
    ),
    "offers.beyond_horizon": (
        "block {block} closes on {closes:%b} {closes.day}, after the {horizon} days looked ahead: days "
        "beyond them are planned on the weather of past years"
    ),
    "offers.first_sprayer": "several sprayers may come; these are the figures with {sprayer}",
    "offers.sprayer_cannot": "{why}; it is left out of the plan",
    "offers.tracks_there": (
        "{sprayer} was in this field on {on:%b} {on.day} (done.csv): its tracks are used again and press "
        "nothing down"
    ),
    "offers.other_sprayer": (
        "with {sprayer} the pass would be billed {usd:.2f} USD/{area}{tracks}; with {first} it costs "
        "{first_usd:.2f}"
    ),
    "offers.goes_anyway": (
        "the {other} goes over the whole field anyway: the plan is one visit, on a day on which both go; "
        "what this spray costs beyond it is {what}"
    ),
    "offers.crop_share": (
        "all money is your own: {grain:.0f} % of the grain, {cost:.0f} % of the cost, also in the bill"
    ),
    "offers.own_load": (
        "a zone that is skipped still gets the {other}, from a load of its own, for which {charged} is "
        "charged: never set it to 0 with both in one tank"
    ),
    "offers.insecticide": (
        "the {other} only where its own threshold is met, never as a rider; soybean flowers and bees are in "
        "the field: keep to hours and label"
    ),
    "offers.label_in_block": "block {block}: {why}",
    "offers.ordered_too_late": (
        "no day is left: the product takes {days} days to come (setting: lead_time_d), and {last:%b} "
        "{last.day} is the last day on which label and stage allow a spray; it was to be ordered "
        "by {by:%b} {by.day}"
    ),
    "offers.called_too_late": (
        "no day is left: the applicator wants {days} days of notice (setting: notice_d), and {last:%b} "
        "{last.day} is the last day on which label and stage allow a spray; the call was due by "
        "{by:%b} {by.day}"
    ),
    "offers.no_day": "no day is left on which label, stage and the stand of the crop allow a spray",
    "offers.driven_off": (
        "{area:.1f} {unit} of skipped ground are driven with the boom off, which costs ${usd:.0f} of crop"
    ),
    "offers.driven_anyway": (
        "{why}; {share:.0f} % of it is driven anyway for the zones beside it, where its tracks do not count"
    ),
    "offers.pass_returns_more": "{why}; the pass returns more with it than without it",
    "offers.of_pass": "pass {number}: {why}",
    "offers.several_days": "pass {number} is under way for {days} days, to {last:%Y-%m-%d}",
    "offers.middle_day": (
        "the zones' own net is that of the middle day of their pass: {usd:+.0f} USD against the total, which "
        "counts every day"
    ),
    "offers.shared_tracks": (
        "wheel tracks of {usd:.0f} USD on ground that is driven anyway are in the total, not in the zones' "
        "own net"
    ),
    "offers.estimate_differs": (
        "wheel tracks shared by two visits are counted once: {usd:+.0f} USD against the search's estimate"
    ),
    "offers.joined": (
        "block {block} was planted on {planted}, {days} apart, and its parts reach R3 within {r3_d:.1f} "
        "days: it is counted by its largest part, {taken:%b} {taken.day}"
    ),
    "offers.zone_contrast": (
        "the canopy or wet ground of {zones} against its own block moves the expected response by up to "
        "{most:.{digits}f} {unit}: an assumption, for no trial has measured how the response differs within "
        "a field (setting: effects.zone_contrast = false leaves it out)"
    ),
    "offers.favourable_days": (
        "{blocks}: {days} of {known_days} days around R3 favoured leaf disease; that tells little, of "
        "{sites:.0f} trial sites {met:.0f} had such weather and {responded:.0f} responded"
    ),
    "offers.unfavourable_days": (
        "{blocks}: {days} of {known_days} days around R3 favoured leaf disease, too few for the rule; "
        "{unmet:.0f} of {sites:.0f} trial sites was like that"
    ),
    "offers.seen_on_part": (
        "zone {zone}: pressure {pressure} was seen on {on:%b} {on.day} in parts that are only {percent:.0f} "
        "% of it, so it does not speak for the zone; walk the rest"
    ),
    "offers.swath_cells": (
        "the operator's files follow the sprayer's swaths, heading {heading:.0f} degrees {source}, and "
        "switch after {metres:.0f} m at the soonest; {percent:.1f} % of the field gets another action than "
        "its zone; the figures are those of the zones"
    ),
    "offers.fewer_zones": (
        "block {block} could be {most} zones by its layers, {zones} is enough: {percent:.0f} % of what a "
        'plan for every spot of it would return is kept (setting: divide_by = "layers" keeps {most})'
    ),
}
