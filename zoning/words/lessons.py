"""Sentences about what to do better next season, after strips were harvested."""

SENTENCES: dict[str, str] = {
    "lessons.more_pairs": (
        "next season lay about {needed} pairs in all like these, over several fields if one has no room: "
        "with {pairs} it could not be told whether the pass paid"
    ),
    "lessons.too_close": (
        "the response lies so near break-even that no number of strips that a farm lays will part them: "
        "what pays here is decided by price and cost"
    ),
    "lessons.zones_by_themselves": (
        "zones differ, so ask of each by itself whether it pays: the mean over them says little, and more "
        "than {pairs} pairs across the same zones would sharpen each answer"
    ),
    "lessons.cross_zones": "next season let a pair cross {zones}: no strip tells what a pass returns there",
    "lessons.pairs_lost": (
        "{lost} of {laid} pairs do not count: show the operator the strips, and keep the sprayer's own file"
    ),
    "lessons.keep_file": (
        "keep the file that the sprayer writes (sprayworth done --as-applied): here the strips are taken as "
        "they were laid"
    ),
    "lessons.wetter": (
        "treated strips were {points:.1f} points of moisture wetter: mind green stems, and that drying costs"
    ),
    "lessons.calibrate": (
        "{share:.0f} % of the combine's points told nothing: calibrate the monitor, and keep whole headers "
        "in the strips"
    ),
}
