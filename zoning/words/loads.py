"""Sentences of the load sheet and the application record: what the operator must know or fill in."""

SENTENCES: dict[str, str] = {
    "loads.other_volume": (
        "mixed for {mixed:.4g} {unit}, sprayed at {sprayed:.4g} {unit}: {got} instead of {dose}; two passes "
        "with a mix each, or injection, keep the dose"
    ),
    "loads.injected": (
        "the product is injected, not in the tank: give the machine its dose, and read off what it used"
    ),
    "loads.season_applications": (
        "applications so far this season: {applied}; the label as entered allows {most}"
    ),
    "loads.season_dose": (
        "with {applied} applications so far one more makes {whole}, and the label as entered allows {most} "
        "in a season"
    ),
    "loads.application": (
        "application {number} of this product here this season; at most {most}, {dose} in all"
    ),
    "loads.overage": (
        "overage {amount:.4g} {unit} with its product, beyond what the ground takes: what stays of it in "
        "lines and pump is not sprayed"
    ),
    "loads.no_overage": "overage 0, as entered: the last ground lacks what lines and pump hold back",
    "loads.edges": "sections of {width} spray {percent:.1f} % more than is to be sprayed: {parts}",
    "loads.edges_of_one": (
        "a boom or swath of {width} without sections sprays {percent:.1f} % more than is to be sprayed: "
        "{parts}"
    ),
    "loads.edge_left": "{area} on ground to be left",
    "loads.edge_off": "{area} off the crop",
    "loads.stay_dry": "{area} beside setbacks stay dry",
    "loads.edges_take": (
        "that takes {more} of mix more than the loads hold: have it ready, or add it to `overage` "
        "({overage} here)"
    ),
    "loads.edges_held": (
        "that takes {more} of mix more: the overage of {overage} holds it if no more than {left} stay in "
        "lines and pump"
    ),
    "loads.own_load": (
        "the {other} goes over the whole field: its own amount is not on this sheet, and ground that is "
        "not on this sheet gets it from a load of its own, never from this one"
    ),
    "loads.irrigated": (
        "irrigated: hold the water until the spray is rainfast{rainfast}; spraying through the pivot is not "
        "planned here"
    ),
    "loads.little_by_air": (
        "{volume:.4g} {unit} is less than the {usual:.4g} {unit} that is the usual advice from the air"
    ),
    "loads.battery": "each refill of the drone means a battery too: fill_min must hold both",
    "loads.mixing": (
        "order, jar test and quality of the water as the label in hand says; what is not on this sheet takes "
        "the place of water"
    ),
    "loads.buffer": (
        "depends on the wind at spraying, so the map has fixed setbacks at most; read it at boom height in "
        "the field and note what you decide"
    ),
    "loads.short": "the loads are sized to the ground: nothing should be left but what lines and pump hold",
    "loads.another_mix": "with another mix: what is left here does not go into it",
    "loads.order_by": "order product by {day}",
    "loads.call_by": "call the applicator by {day}",
    "loads.not_held": (
        "{speed}, as near as the machine comes; nozzle {nozzle}; no speed of it holds the volume, so measure "
        "what it really gives before you mix"
    ),
    "loads.nozzle_chart": (
        "check in the nozzle's chart that these pressures give the droplets the label asks for"
    ),
    "loads.label": "as entered; the label in hand wins",
    "loads.ask_neighbours": (
        "ask about hives, organic or sensitive crops, homes and schools before you drive out"
    ),
    "loads.keep": (
        "keep it with the machine's as-applied file: an insurer or a buyer may ask for both, and crop "
        "insurance is not looked at here"
    ),
}
