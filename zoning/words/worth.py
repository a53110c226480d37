"""Sentences of the question without a field: whether a pass pays."""

SENTENCES: dict[str, str] = {
    # the answer, said first
    "worth.spray": "Spray: a pass is expected to {brings}. It pays with a chance of {chance}.",
    "worth.skip": "Skip: a pass is expected to {brings}. It pays with a chance of {chance}.",
    "worth.toss_up": (
        "Toss-up, so skip: a pass is expected to {brings}, not more than the {min_net} that you ask for "
        "(--min-net). It pays with a chance of {chance}."
    ),
    "worth.chance_low": (
        "Skip: a pass is expected to {brings}, but it pays with a chance of {chance}, and you ask for "
        '{min_chance} (--rule "chance").'
    ),
    "worth.cautious": (
        "Skip: a pass is expected to {brings}, but losses count {weight:g} times and outweigh the gains "
        '(--rule "cautious"). It pays with a chance of {chance}.'
    ),
    "worth.brings": "bring {net} net",
    "worth.loses": "lose {net}",
    "worth.brings_little": "bring less than 1 {unit} net",
    "worth.loses_little": "lose less than 1 {unit}",
    "worth.brings_nothing": "bring just what it costs",
    # what it rests on
    "worth.basis": (
        "Expected {expect} {unit} (SD {sd}), needed {needs}: {source}, {pressure}, middle of {stage}."
    ),
    "worth.basis_tracks": "New wheel tracks take {loss} {unit}; it is part of what is needed.",
    "worth.basis_share": "With {share} of the grain the price brings you {brings} {unit}.",
    "worth.pressure": "pressure {pressure}",
    "worth.severity": "{disease} at {pct:g} % near R6 (a forecast), of which the product prevents {efficacy}",
    "worth.severity_resisted": "{disease} at {pct:g} % near R6 (a forecast), which resists the product",
    "worth.pressure_resisted": "pressure {pressure}, frogeye resists the product",
    "worth.severity_idle": "The practice series takes no account of the severity.",
    "worth.low_yield": "Below {least} {unit} of yield less response is expected (assumption).",
    "worth.late_stage": "How much of a response is left after R3 is not settled: sources disagree.",
    "worth.most_do_not": "In published trials most passes do not pay.",
    # what would turn it
    "worth.turn_to_spray": "It would be spray,",
    "worth.turn_to_skip": "It would be skip,",
    "worth.turn_price_up": "at a price above {value} (now {now})",
    "worth.turn_price_down": "at a price below {value} (now {now})",
    "worth.turn_cost_up": "at a cost above {value} (now {now})",
    "worth.turn_cost_down": "at a cost below {value} (now {now})",
    "worth.turn_response_up": "if more than {value} were expected (now {now})",
    "worth.turn_response_down": "if less than {value} were expected (now {now})",
    "worth.turn_severity_up": "at a severity near R6 above {value} (now {now})",
    "worth.turn_severity_down": "at a severity near R6 below {value} (now {now})",
    # the sources
    "worth.sources": "By source of the response (* the one you chose):",
    "worth.practice_size": (
        "The practice series expects {practice} {unit} in the middle of R3, {times:.1f} times the published "
        "mean of {published}: common practice, no source, its spread is assumed."
    ),
    "worth.practice_low": (
        "Under low pressure the practice series expects what pooled trials do: {practice} {unit} in the "
        "middle of R3 (published mean {published})."
    ),
    "worth.own_trials": (
        "Own trials, in the middle of R3: before them {before} {unit} (SD {before_sd}); they say {seen} "
        "(SE {se}, and {about} about the next season); with them {after} (SD {after_sd})."
    ),
    # the table, and what knowing is worth
    "worth.table": (
        "What if: cost x price, and on the right the net return in {money} should the response be so many "
        "{unit}:"
    ),
    "worth.knowing": "Knowing the response beforehand would be worth at most {value}.",
    "worth.pairs": (
        "Your own strips would show a response of {needs} {unit} four times in five with {pairs} pairs, "
        "sprayed beside unsprayed."
    ),
    "worth.no_pairs": "A response as small as {needs} {unit} is too small for any farm's own strips to show.",
    "worth.evidence": "Every number behind this, with its source and kind: sprayworth evidence returns",
    "worth.a_chance": "A chance is no promise. This is {caution}.",
}
