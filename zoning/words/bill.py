"""What the lines of the bill are called. A line's code is its name in `CostLine`."""

COST_LINES: dict[str, str] = {
    "product": "product",
    "adjuvant": "adjuvant",
    "foliar_feed": "foliar feed",
    "pass": "pass, treated ground",
    "machine": "own machine, driving",
    "filling": "own machine, filling",
    "water": "water",
    "pass_field": "pass, whole field",
    "minimum_bill": "up to the smallest bill",
    "per_visit": "coming to the field",
    "ferry": "bringing the sprayer",
    "split_load": "a load of its own",
    "tracks_sprayed": "new wheel tracks, sprayed ground",
    "tracks_off": "new wheel tracks, skipped ground driven with the boom off",
}
