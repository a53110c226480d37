"""Sentences about the money of zones and fields; names of steps of a response and of kinds of evidence."""

SENTENCES: dict[str, str] = {
    # the field
    "money.range": (
        "8 seasons of 10 bring {low} to {high}; it pays with a chance of {chance}; knowing the season "
        "first: worth {knowing} at most"
    ),
    "money.range_nearest": (
        "the pass that comes nearest to it: 8 seasons of 10 bring {low} to {high}; it pays with a chance of "
        "{chance}; knowing the season first: worth {knowing} at most"
    ),
    "money.rests_on": "the expected response rests {shares}",
    "money.passes_turn": "{passes} would not be worth it {turns}",
    "money.also_worth_it": "a pass would also be worth it {turns}",
    "money.nothing_turns": "no price, cost or response alone would make a pass worth it",
    "money.bill": "the bill, to hold against paper: {lines}; together {sum}",
    "money.bill_without_strips": (
        "the bill of the zones alone: {lines}; together {sum}; with check strips {treated} are sprayed"
    ),
    "money.tracks": "crop that the wheels take, on no bill: {lines}; together {sum}",
    "money.bill_of_acre": (
        "a treated {area} would cost: {lines}; together {sum}; what is billed by the visit or for the whole "
        "field comes on top"
    ),
    "money.bill_spent": "spent whatever is decided, not counted: {lines}",
    "money.later": "begun later, against the plan: {days}",
    # the sources and the contrast
    # the table
    "money.break_even": (
        '"needs": there the net is 0; "worth it": by your rule and least net return, with coming to the '
        "field paid"
    ),
    "money.by_source": "by response source (* chosen), each zone by itself on its best day, net {unit}:",
    "money.no_figures": "{source}: no figures given",
    "money.no_trial": "no trial has measured how the response differs within a field",
    # a zone
    "money.would_spray": "a spray would be worth it {turns}",
    "money.would_skip": "it would be skipped {turns}",
    "money.as_zone": "as zone {zone}",
    "money.build_up": "expected: {steps} = {sum} {unit}",
    "money.build_up_tracks": "; {tracks} leave {left}",
    "money.waiting": "waiting, {unit}: {days}",
    "money.waiting_until": "waiting, {unit}: {days}; worth it until {until}",
    "money.knowing": "knowing the season's response beforehand: worth {usd} {unit} at most",
    "money.no_contrast": "without the assumed contrast of canopy and wet ground: net {net} {unit}",
    # what would turn a decision: a price, a cost, ...
    "money.spray_price": "from {value}",
    "money.spray_cost": "at a cost below {value}",
    "money.spray_response": "with {value}",
    "money.spray_day": "on {value}",
    "money.spray_tracks": "without new wheel tracks",
    "money.spray_severity": "if {value} of the leaf area is diseased near R6",
    "money.skip_price": "below {value}",
    "money.skip_cost": "at a cost above {value}",
    "money.skip_response": "with less than {value}",
    "money.skip_day": "if the pass were on {value}",
    "money.no_price": "at no price below {value}",
    # the end
    "money.more": "add --why to see how each number comes about{notes}",
    "money.more_notes": ", and {count} further notes",
}

STEPS: dict[str, str] = {
    "published_mean": "published mean",
    "practice": "practice series",
    "parts": "shape of the response",
    "pressure": "disease pressure",
    "resisted": "resistance",
    "severity_seen": "severity seen",
    "severity": "severity foreseen",
    "favourable_days": "weather",
    "previous_crop": "previous crop",
    "variety": "variety",
    "canopy": "canopy",
    "wet_ground": "wet ground",
    "own_trials": "own trials",
    "modes_of_action": "modes of action",
    "rain": "rain",
    "late_planting": "late planting",
    "yield_potential": "yield potential",
    "morning": "morning",
    "poor_ground": "poor ground",
    "carrier": "carrier volume",
    "stage": "stage",
    "tracks": "wheel tracks",
}

KINDS: dict[str, str] = {
    "yours": "on your own figures",
    "published": "on publications",
    "standard": "on standards",
    "computed": "on sums made from publications",
    "common practice": "on common practice",
    "from memory": "on memory",
    "assumption": "on assumptions",
}
