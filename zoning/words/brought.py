"""Sentences about what a planter's or a phone's file brought: what was left out, and what is doubtful."""

SENTENCES: dict[str, str] = {
    "brought.nowhere": "records of {file} without a place were left out: {count:,} of {whole:,}",
    "brought.lifted": (
        "records of {file} at which the planter was off or planted nothing were left out: {count:,} of "
        "{whole:,}"
    ),
    "brought.elsewhere": (
        "records of {file} that lie outside this field were left out: {count:,} of {whole:,}; they are of "
        "other fields, or of turns beyond the boundary"
    ),
    "brought.population_odd": (
        "the median population, {population}, read as {unit}, is not one of soybeans: say the unit with "
        "--unit population=UNIT, or leave the column out with --column population="
    ),
    "brought.log_missing": "{name} is not there in {file}: that time log was passed over",
    "brought.log_cut": (
        "{file} ends in the middle of a record: its {count:,} whole records were read, {bytes} bytes were "
        "left"
    ),
    "brought.several_products": (
        "task {task} planted several products at once ({names}), and its log does not say which lies where: "
        "they count as one mixture"
    ),
}
