"""Sentences that only the page of a field says."""

SENTENCES: dict[str, str] = {
    # the four numbers
    "page.to_spray": "to spray",
    "page.to_skip": "to skip",
    "page.expected_net": "expected net",
    "page.of_field": "of the field",
    "page.with_strips": "with the check strips {usd}",
    "page.not_priced": "no pass could be priced",
    "page.visits": "{count} passes planned, the first on {on}",
    "page.one_visit": "{count} pass planned, {on}",
    "page.no_visit": "no pass planned",
    "page.no_passes": "no sprayer given, no pass planned",
    "page.field": "field",
    "page.no_money": "no prices given: zones and dates only",
    "page.zones": "zones",
    "page.blocks": "in {count} planting blocks",
    "page.one_block": "in {count} planting block",
    "page.r3_begins": "R3 begins",
    "page.no_dates": "no model gives a date here",
    "page.dates_spread": "likely; early {early}, late {late}; {how}",
    "page.all_counted": "pinned by counts",
    "page.counted": "{counted} of {zones} zones counted, the others provisional",
    "page.provisional": "provisional, no zone is counted",
    # a zone
    "page.planted": "block {block}, planted {day}, maturity group {group}",
    "page.date_counted": "{days} in 8 seasons of 10, counted in this zone",
    "page.date_provisional": "{days} in 8 seasons of 10, provisional until it is counted",
    "page.sprayed_on": "sprayed already, {day}",
    "page.override": "decided on {day}: {asked}",
    "page.computed": "the figures by themselves say {action}",
    "page.refused": 'not followed, though "{reason}": {why}',
    # what was seen, where to walk, what is missing
    "page.seen": "{day}, {where}: {what}",
    "page.seen_zone": "zone {zone}",
    "page.seen_nowhere": "in no zone",
    "page.severity": "{percent:g} % of the leaf area",
    "page.photo": "picture {name}",
    "page.observer": "by {name}",
    "page.walk": "go and look in zone {zone} by {day}: stage {plants} plants there",
    "page.walk_worth": "worth {usd}",
    "page.walk_informs": "it may change {zones}",
    "page.no_walk": "no walk is worth its time now: a count anywhere would gain less than {usd} on average",
    "page.knowing": (
        "not knowing how this season responds costs {usd} at most; no look at the field can tell all of it"
    ),
    "page.bill_strips": "this is the bill of the zones alone; with check strips {treated} are sprayed",
    # the passes
    "page.schedule_alone": "the schedule gives the sprayer to this field alone; others may want the same day",
    "page.schedule_farm": "one schedule for all fields of the farm",
    "page.order_by": "order the product by {day}",
    "page.call_by": "call the applicator by {day}",
    # where figures come from
    "page.kinds": "{count} figures: {kinds}; sprayworth evidence lists all {every} that the program has",
    "page.made_from": "made from {inputs}",
    "page.scouted": "scouting of {days}",
}
