"""Sentences about why a pass pays or not."""

SENTENCES: dict[str, str] = {
    "returns.spray": "{because}: expect {expect:.{digits}f} {unit}, needs {needs:.{digits}f}",
    "returns.skip": "{because}: needs {needs:.{digits}f} {unit}, expect {expect:.{digits}f}",
    "returns.toss_up": (
        "{because}: a toss-up, expect {expect:.{digits}f} {unit}, needs {needs:.{digits}f}; "
        "{net:.2f} USD/{area} is not above your min_net of {min_net:.2f}"
    ),
    "returns.chance_low": (
        "{because}: expect {expect:.{digits}f} {unit}, needs {needs:.{digits}f}, but it pays with a chance "
        "of {chance:.2f} and you ask for {min_chance:.2f}"
    ),
    "returns.cautious": (
        "{because}: expect {expect:.{digits}f} {unit}, needs {needs:.{digits}f}, but losses count "
        "{weight:g} times and outweigh the gains"
    ),
    "returns.no_value": (
        "a bushel brings nothing: hauling costs {haul_usd_bu:.2f} USD/bu at a price of {grain_usd_bu:.2f}"
    ),
    "returns.other_cause_seen": (
        "trouble of another cause seen by scouting on {on}, which a foliar fungicide does not mend"
    ),
    "returns.other_cause": "trouble of another cause, which a foliar fungicide does not mend",
    "returns.practice": "practice series",
    "returns.severity_set": "{percent:g} % of the leaf area with {disease} near R6, by your forecast",
    "returns.resisted": "of a disease that resists the product's modes of action",
    "returns.lesions_seen": "lesions seen by scouting on {on}",
    "returns.lesions_set": "lesions seen, by your setting",
    "returns.pressure_seen": "pressure {pressure} seen by scouting on {on}",
    "returns.pressure_set": "pressure {pressure} by your setting ({source})",
    "returns.pressure_unknown": "pressure unknown, not scouted ({source})",
    "returns.yield_low": "the expected yield of {expected:.0f} {unit} is low",
    "returns.tracks": "new wheel tracks take {loss:.{digits}f} {unit}",
    "returns.stage_late": "it is late for R3, {left:.0%} of the response is left",
    "returns.stage_early": "it is early for R3, {left:.0%} of the response can be had",
    "returns.source_pooled": (
        "response from pooled trials: {expected:.{digits}f} {unit} expected in the middle of R3 "
        "(published mean {published:.{more}f}); in published trials most passes do not pay"
    ),
    "returns.source_practice": (
        "response from a practice series: {expected:.{digits}f} {unit} expected in the middle of R3, "
        "{times:.1f} times the published mean of {published:.{more}f}; common practice without a source, its "
        "spread is assumed"
    ),
    "returns.source_own": (
        "response from your own trials: {expected:.{digits}f} {unit} expected in the middle of R3, "
        "{before:.{digits}f} without them (published mean {published:.{more}f})"
    ),
    "returns.white_mold": (
        "the target is white mold: best sprayed at R1 to R2, so R3 is late for it and no return is reckoned"
    ),
}
