"""What the weeks to come of one field say in words, beside their picture."""

SENTENCES: dict[str, str] = {
    "weeks.picture": (
        "The weeks from {first} to {last}: R3, the days on which a pass returns most, and passes. "
        "The list below says the same."
    ),
    "weeks.zone": "Zone {zones}",
    "weeks.zones": "Zones {zones}",
    "weeks.in_block": "block {blocks}",
    "weeks.pass": "pass {number}, {when}",
    "weeks.spray": "spray",
    "weeks.skip": "skip",
    "weeks.dates_only": "dates only",
    "weeks.counted": "counted",
    "weeks.provisional": "provisional",
    "weeks.no_date": "no model gives a date here",
    "weeks.in_short": "R3 {likely}, {how}; {what}",
    "weeks.r3": "R3 likely {likely}, early {early}, late {late} ({how}); window closes {closes}",
    "weeks.near_best": "return near its best from {first} to {last}",
    "weeks.at_pass": "pass {number}: {when}, {sprayer}, {rate}",
    "weeks.parts": "{loads} tankfuls {when}",
    "weeks.due": "due {day}",
    "weeks.label": "label, as typed: not after {stage}, {interval_d} days before harvest",
    "weeks.sprayed": "sprayed already on {day}",
}
