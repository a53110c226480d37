"""Sentences about learned.toml: what own trials say, and which of them count."""

SENTENCES: dict[str, str] = {
    "learned.source": (
        "response from your own strips (learned.toml: {trials} in {seasons}{other}, mean {mean:.{digits}f} "
        "{unit}, standard error {se:.{digits}f}): {expected:.{digits}f} {unit} expected in the middle of R3 "
        "where pressure is {pressure}, {before:.{digits}f} without them (published mean "
        "{published:.{more}f})"
    ),
    "learned.other_ground": ", {other} of them in ground of another pressure, carried over to {pressure}",
    "learned.typed_wins": (
        "mean and se in {file} win over the trials of strips in learned.toml; take mean, se, trials and "
        "years out to let those count (setting: response.mean)"
    ),
    "learned.later": (
        "learned.toml: trials of {seasons} do not count here, a plan for {season} may not know how its own "
        "season or a later one ended"
    ),
    "learned.one_class": (
        "the strips run through ground of several pressures, not each with {least} pairs: all of it is "
        "learned as pressure {pressure}, which holds most of their length"
    ),
    "learned.beyond": (
        "nothing is learned from this trial: its mean or standard error is beyond what a spray can do; check "
        "the columns and units of the yield file"
    ),
}
