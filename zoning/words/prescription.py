"""Sentences that stand inside the files of a plan, for whoever opens them without having seen the plan."""

SENTENCES: dict[str, str] = {
    "prescription.total_mix": (
        "rates are the total volume of spray mix in {unit}, not the dose of the product; 0 is boom off; the "
        "product label decides"
    ),
    "prescription.readme_title": "READ THIS BEFORE YOU LOAD {stem}",
    "prescription.readme_not_followed": "the machine cannot follow this map: {why}",
    "prescription.readme_unit": (
        "set {unit} of spray mix (total volume, not product); the file cannot tell it, a wrong unit "
        "is a wrong rate"
    ),
    "prescription.readme_column": "{column}: {unit} of spray mix, 0 = boom off; no other",
    "prescription.readme_outside": "set 0 (boom off) outside the field",
    "prescription.readme_lost": "set 0 (boom off); stop until it is back",
    "prescription.readme_load": (
        "the five files {stem}.* into the folder that your terminal wants, no sub-folders; one field at a "
        "time: sets of other fields have the same file names"
    ),
    "prescription.readme_loads": "{loads}; load_sheet.txt (not in the zip) has what goes in",
    "prescription.readme_strips": (
        "{strips} check strips, a trial: half of them stay dry from end to end; do not switch by hand, spray "
        "none of it later"
    ),
    "prescription.readme_made": (
        "by run {run_id} of {today}, sprayworth {version}; {crs}; check: sha256sum -c SHA256SUMS"
    ),
}
