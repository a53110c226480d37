"""Sentences about season.csv: forecasts against what came, and the decisions that were made."""

SENTENCES: dict[str, str] = {
    "season.r3_moved": "R3 of {blocks} moved by {days:+.1f} d by {seasons} of this {of}",
    "season.counts_elsewhere": (
        "{zones}: counts made elsewhere put R3 likely {days} than the model and past seasons did"
    ),
    "season.few_zones": "chances were held against what came in {zones}: {least:.0f} zones or more tell better",
}
