"""Sentences on the map of a field's page: labels, legend and what is read out."""

SENTENCES: dict[str, str] = {
    # labels
    "field_map.pass": "P{number}",
    "field_map.at_pass": "P{number} · {rate}",
    "field_map.block": "block {name}",
    # read out
    "field_map.about": "Map of {field}: {count} zones, grid north up",
    "field_map.zone": "Zone {zone}: {what}",
    "field_map.spray": "spray",
    "field_map.skip": "skip",
    "field_map.spray_at": "spray {rate} in pass {number}",
    "field_map.net": "{what}, {net} expected",
    "field_map.begins": "{what}, R3 begins about {day}",
    "field_map.yours": "{what}, decided by you",
    # furniture
    "field_map.north": "grid N",
    # legend
    "field_map.of_pass": "pass {number}, {when}:",
    "field_map.no_pass": "spray:",
    "field_map.other_pass": "spray, in no pass of the plan:",
    "field_map.skipped": "skip:",
    "field_map.loss": "a loss, hatched",
    "field_map.toss_up": "too close to call",
    "field_map.net_of": "expected net return; of skipped zones that of the best pass they could have had",
    "field_map.no_return": "no return known",
    "field_map.no_date": "no date",
    "field_map.dates_of": "likely first day of R3; in the zones early to late",
    "field_map.zone_of": "zone {zone}, {name}:",
    "field_map.zones_of": "colours only tell neighbours apart; they have no order",
    "field_map.counted": "stage counted, {days}",
    "field_map.scouted": "scouted for disease, {days}",
    "field_map.drawn_on": "zones drawn on {names}",
    "field_map.blocks": "thick line: edge of a planting block",
    "field_map.overruled": "dashed edge and {mark}: decided by you",
    "field_map.picture": "{name}: pale {low}, dark {high}",
    "field_map.picture_of": "{name}, image of {day}: pale {low}, dark {high}",
    # themes and layers that can be switched
    "field_map.by_decision": "decision",
    "field_map.by_return": "net return",
    "field_map.by_date": "R3 date",
    "field_map.by_zone": "zone",
    "field_map.labels": "labels",
    "field_map.points": "scouting points",
    "field_map.strips": "check strips",
    "field_map.swaths": "edges in the sprayer's files",
    "field_map.r3_days": "R3 day, cell by cell",
}
