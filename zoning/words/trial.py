"""Sentences about the answer of the strips: whether the pass paid, and where."""

SENTENCES: dict[str, str] = {
    "trial.paid": (
        "the pass paid: {mean} {unit} (90 % {low} to {high}) against a break-even of {needs}, from {pairs} "
        "of strips"
    ),
    "trial.did_not_pay": (
        "the pass did not pay: {mean} {unit} (90 % {low} to {high}) against a break-even of {needs}, from "
        "{pairs} of strips"
    ),
    "trial.cannot_tell": (
        "cannot tell whether the pass paid: {mean} {unit} (90 % {low} to {high}) against a break-even of "
        "{needs}, from {pairs} of strips; about {needed} pairs like these would"
    ),
    "trial.too_close": (
        "cannot tell whether the pass paid: {mean} {unit} (90 % {low} to {high}) against a break-even of "
        "{needs}, from {pairs} of strips; so near to break-even no number of strips that a farm lays would"
    ),
    "trial.no_money": (
        "treated strips yielded {mean} {unit} against untreated ones (90 % {low} to {high}), from {pairs}; "
        "without price and cost nothing is said of whether that paid"
    ),
    "trial.zones_differ": (
        "zones responded differently: where all respond alike, they differ as much in {times} of 100 trials"
    ),
    "trial.zones_alike": (
        "no sign that zones responded differently: where all respond alike, they differ as much in "
        "{times} of 100 trials. Take the field's answer for each"
    ),
    "trial.zones_not_compared": (
        "too few pairs cross two zones to say whether zones responded differently: take the field's answer "
        "for each"
    ),
    "trial.zone": (
        "zone {zone}: {seen} {unit} seen in {pairs}, {mean} when drawn towards the field (90 % {low} to "
        "{high})"
    ),
    "trial.spatial": (
        "the {points:,} points are worth about {worth:,.0f} that know nothing of each other, for neighbours "
        "share their soil; and strips differ in soil and luck however many points they have, so {pairs} what "
        "counts"
    ),
}
