"""Sentences about what changed since an earlier plan: for who holds its files, and for the grower."""

SENTENCES: dict[str, str] = {
    "since.changed": "since the plan of {today}: {what}",
    "since.nothing": "since the plan of {today} nothing that the machine does has changed",
    "since.only_money": (
        "since the plan of {today} nothing that the machine does has changed; the net return is expected to "
        "be {now_usd:,.0f} USD instead of {before_usd:,.0f} USD"
    ),
    "since.unit": "the files now hold {now} instead of {before}: set the terminal to it",
    "since.pass_moved": "pass {number} moves from {before} to {now}",
    "since.pass_rate": "pass {number} sprays {now} instead of {before} {unit}",
    "since.pass_sprayer": "pass {number} is driven by {now} instead of {before}",
    "since.pass_mix": "pass {number} takes {now} instead of {before}",
    "since.pass_number": "pass {before} is now pass {number}",
    "since.pass_new": "pass {number} on {day} is new",
    "since.pass_gone": "pass {number} of {day} is gone",
    "since.pass_edges": "the map of pass {number} has other edges",
    "since.zones_sprayed": "zones now sprayed: {zones}",
    "since.zones_skipped": "zones now skipped: {zones}",
    "since.zones_moved": "zones now in pass {number}: {zones}",
    "since.redrawn": "zones were drawn anew",
    "since.strips": "pairs of check strips: {now} instead of {before}",
    "since.strips_elsewhere": "check strips lie elsewhere",
    "since.area_more": "{amount:,.1f} {unit} more to spray",
    "since.area_less": "{amount:,.1f} {unit} less to spray",
    "since.mix_more": "{amount:,.0f} {unit} of spray mix more",
    "since.mix_less": "{amount:,.0f} {unit} of spray mix less",
    "since.zones_changed": "{zones} changed since {day}",
    "since.zones_same": "no zone has changed since {day}",
    "since.zone_changed": "zone {zone}: {what}",
    "since.zone_r3": "R3 likely {now}, was {before}",
    "since.zone_day": "spray {now}, was {before}",
    "since.zone_sprayed": "sprayed now, was skipped",
    "since.zone_skipped": "skipped now, was sprayed",
    "since.zone_rate": "{now} {unit}, was {before} {unit}",
}
