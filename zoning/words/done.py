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
}
