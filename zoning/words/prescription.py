"""Sentences that stand inside the files of a plan, for whoever opens them without having seen the plan."""

SENTENCES: dict[str, str] = {
    "prescription.total_mix": (
        "rates are the total volume of spray mix in {unit}, not the dose of the product; 0 is boom off; the "
        "product label decides"
    ),
}
