"""Sentences about what the user decided for a zone, against or beside the rule."""

SENTENCES: dict[str, str] = {
    "decisions.spray": 'you: spray{rate}, because "{reason}"; by itself: {why}',
    "decisions.skip": 'you: skip, because "{reason}"; by itself: {why}',
    "decisions.rate": 'you: {rate}, because "{reason}"; by itself: {why}',
    "decisions.at_rate": " at {rate}",
    "decisions.followed": (
        "as you decided in {file}: {zones}; what each returns is reckoned as for every other zone, also "
        "where it loses"
    ),
    "decisions.not_followed": 'zone {zone}: your decision ("{reason}") is not followed: {why}',
    "decisions.kept_numbers": (
        "{file} was made before a part of the field was sprayed; its zones are the same ground and kept "
        "their numbers"
    ),
    # why one is not followed
    "decisions.no_money": "without prices there is no spray or skip, only dates",
    "decisions.no_hours": "no pass over it fits into the spray hours beside the other passes",
    "decisions.one_pass": (
        "the other spray goes over the field once, with one volume in the tank, and that is another one"
    ),
    "decisions.other_volume": (
        "a tank has one volume, and no further pass fits in for this one beside the other passes"
    ),
    "decisions.not_sprayed": "the rule skips it, and a volume counts only where a pass goes",
    # what stands with the pass and with the map
    "decisions.of_pass": "decided by the grower, not by the rule: {what}",
    "decisions.mark": "! decided by you; what the rule says by itself stands behind it",
    "decisions.map_mark": "! decided by the grower: {zones}",
    "decisions.headline": "; {zones} as you decided",
    "decisions.farm": "! as you decided: {zones}",
    "decisions.best": "of the schedules that follow your decisions: {gap}",
}
