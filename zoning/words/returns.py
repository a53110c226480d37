"""Sentences about why a pass pays or not."""

SENTENCES: dict[str, str] = {
    "returns.spray": "{because}: expect {expect:.{digits}f} {unit}, needs {needs:.{digits}f}",
    "returns.skip": "{because}: needs {needs:.{digits}f} {unit}, expect {expect:.{digits}f}",
    "returns.toss_up": (
        "{because}: a toss-up, expect {expect:.{digits}f} {unit}, needs {needs:.{digits}f}; "
        "{net:.{cents}f} USD/{area} is not above your min_net of {min_net:.{cents}f}"
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
    "returns.severity_seen": "{percent:g} % of the leaf area with {disease}, seen by scouting on {on}",
    "returns.open_rows": "open rows at R3, which counts as low pressure ({source})",
    "returns.lesions_seen": "lesions seen by scouting on {on}",
    "returns.lesions_set": "lesions seen, by your setting",
    "returns.pressure_seen": "pressure {pressure} seen by scouting on {on}",
    "returns.pressure_set": "pressure {pressure} by your setting ({source})",
    "returns.pressure_unknown": "pressure unknown, not scouted ({source})",
    "returns.yield_low": "the expected yield of {expected:.0f} {unit} is low",
    "returns.tracks": "new wheel tracks take {loss:.{digits}f} {unit}",
    "returns.stage_late": "it is late for R3, {left:.0f} % of the response is left",
    "returns.stage_early": "it is early for R3, {left:.0f} % of the response can be had",
    "returns.stage_unsure": "the days of R3 are not sure, {left:.0f} % of the response is expected then",
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
        "response from your own trials ({trials} over {years}, mean {mean:.{digits}f} {unit}, standard error "
        "{se:.{digits}f}): {expected:.{digits}f} {unit} expected in the middle of R3, {before:.{digits}f} "
        "without them (published mean {published:.{more}f})"
    ),
    "returns.white_mold": (
        "the target is white mold: best sprayed at R1 to R2, so R3 is late for it and no return is reckoned"
    ),
    "returns.solo_group": (
        "group {group} is the only mode of action in the product: fungi grow resistant to one alone, so mix "
        "or alternate it with another that works"
    ),
    "returns.solo_group_11": (
        "group 11 is the only mode of action in the product: frogeye and Cercospora blight resist it in "
        "places, and then nothing in the tank works; mix it with another group that does"
    ),
    "returns.group_again": (
        "{groups} of the product was used this season or last: resistance grows with each repeat, alternate "
        "it"
    ),
    "returns.same_groups_again": (
        "the same groups again: {groups} were used this season or last, and the product holds no other; "
        "alternate them"
    ),
    "returns.leaf_burn": (
        "drought: group 3 (a triazole) can burn the leaves of a dry crop, which is not priced; ask whoever "
        "sells it, and read the label"
    ),
    "returns.wheat_follows": (
        "wheat follows: a fungicide can keep stems green and put harvest off by days; standability, green "
        "stem and late harvest are not priced"
    ),
    "returns.roots_and_stems": (
        "ground that differs may also have sudden death, brown stem rot, nematodes, charcoal rot or iron "
        "chlorosis, which no foliar fungicide mends: look, and write the cause other in scouting.csv"
    ),
    "returns.double_crop": (
        "a double crop: the window is narrower and less is at stake; in trials with little frogeye a pass "
        "gave {least:.{digits}f} to {most:+.{digits}f} {unit} (Barro et al.). Clean leaves when scouted "
        "count as low pressure; check that harvest keeps the label's interval"
    ),
    "returns.after_soybean": (
        "soybean after soybean: residue carries leaf disease, so where nobody scouted the odds of a "
        "response count {odds:g} times, an assumption (setting: effects.previous_crop = false leaves it out)"
    ),
    "returns.lodged_no_pass": (
        "the crop is lodged or very tall: no pass with a ground sprayer; from the air it can be sprayed"
    ),
    "returns.lodged": (
        "the crop is lodged or very tall: a ground sprayer would press it down, so count on the air or on "
        "no pass"
    ),
    "returns.closed_canopy": (
        "the canopy is closed: little of a spray reaches its lower leaves, and for white mold R3 is late"
    ),
    "returns.market": (
        "market {market}: the quality of the crop is not priced, and the buyer's list says which products "
        "may be used"
    ),
    "returns.practice_says": "practice, without a source and not in the figures: {lines}",
    "returns.practice_nodes": (
        "most yield sits on nodes {first:.0f}-{last:.0f} of the main stem, and a plant at R3 has "
        "{least:.0f}-{usual:.0f} nodes or more"
    ),
    "returns.practice_volume": ", practice sees some yield for {more:.0f} over {less:.0f}",
    "returns.disagree_late_planting": (
        "late planting: trials saw most where planted up to {until.day} {until:%B} (Kandel et al. 2021), a "
        "survey more in late fields (Shah et al. 2021), practice {practice}. Here {used}"
    ),
    "returns.late_neutral": "it counts only through disease",
    "returns.late_less": "it takes from the response, by your setting",
    "returns.late_more": "it adds to the response, by your setting",
    "returns.disagree_carrier": (
        "carrier volume: no difference in light disease (Hanna et al. 2006), less yield with less water "
        "against rust (Brazil, 2018), guides ask for {full:.0f} {unit} (Mississippi State){practice}. "
        "Here {used}"
    ),
    "returns.carrier_counts": "less than that loses response only in a closed canopy with disease",
    "returns.carrier_free": "it changes nothing, by your setting",
    "returns.disagree_time_of_day": (
        "time of day: no yield trial with soybean is known, practice sees {gain:.{digits}f} {unit} more in "
        "the morning. Here {used}"
    ),
    "returns.morning_counts": "it is counted, by your setting",
    "returns.morning_free": "it is not counted (setting: effects.morning)",
    "returns.disagree_late_spray": (
        "late sprays: little is left at R4 and R5 (Mueller and Robertson 2010), or R3 to R4 is best (a "
        "guide). Here {low:.0f} % is left in mid R4 without disease, {building:.0f} % where it builds"
    ),
}
