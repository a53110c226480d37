"""Sentences about what a sprayer can do and cannot do."""

SENTENCES: dict[str, str] = {
    "sprayer.nozzle_missing": (
        "{sprayer} is given without nozzle, nozzle_spacing or pressure, so no rate can be checked"
    ),
    "sprayer.nozzle_unknown": "nozzle size {nozzle} is not one of {sizes}",
    "sprayer.duty_needs_one_pressure": "{sprayer} pulses its nozzles (duty): give one pressure, not a range",
    "sprayer.needs_more_speed": (
        "{volume_gal_ac:.4g} gal/ac ({volume_l_ha:.0f} L/ha) needs at least {needs_mph:.1f} mph "
        "({needs_kmh:.1f} km/h) with {nozzle} nozzles and the top speed is {has_mph:.4g} mph ({has_kmh:.3g} "
        "km/h); nozzle {sizes} would do it"
    ),
    "sprayer.needs_more_speed_no_size": (
        "{volume_gal_ac:.4g} gal/ac ({volume_l_ha:.0f} L/ha) needs at least {needs_mph:.1f} mph "
        "({needs_kmh:.1f} km/h) with {nozzle} nozzles and the top speed is {has_mph:.4g} mph ({has_kmh:.3g} "
        "km/h); no standard nozzle would do it at that speed"
    ),
    "sprayer.needs_less_speed": (
        "{volume_gal_ac:.4g} gal/ac ({volume_l_ha:.0f} L/ha) needs {needs_mph:.1f} mph ({needs_kmh:.1f} "
        "km/h) or less with {nozzle} nozzles and the lowest speed is {has_mph:.4g} mph ({has_kmh:.3g} km/h);"
        " nozzle {sizes} would do it"
    ),
    "sprayer.needs_less_speed_no_size": (
        "{volume_gal_ac:.4g} gal/ac ({volume_l_ha:.0f} L/ha) needs {needs_mph:.1f} mph ({needs_kmh:.1f} "
        "km/h) or less with {nozzle} nozzles and the lowest speed is {has_mph:.4g} mph ({has_kmh:.3g} km/h);"
        " no standard nozzle would do it at that speed"
    ),
    "sprayer.no_base": (
        "the way to the fields costs no hours where a sprayer has no base: {sprayers}; give base, its "
        "latitude and longitude"
    ),
    "sprayer.way": (
        "each visit takes the time of {ways:g} drive between base and field, {detour:g} times the straight "
        "line by road (both assumed); an aircraft flies straight, at its top speed"
    ),
    "sprayer.or_lower_pressure": (
        "or a pressure of {psi:.0f} psi ({bar:.1f} bar) at {mph:.4g} mph ({kmh:.3g} km/h), if the nozzle's "
        "chart goes so low; pressure moves the droplet class"
    ),
    "sprayer.or_higher_pressure": (
        "or a pressure of {psi:.0f} psi ({bar:.1f} bar) at {mph:.4g} mph ({kmh:.3g} km/h), if nozzle, pump "
        "and hoses go so high; pressure moves the droplet class"
    ),
    "sprayer.none_given": (
        "no sprayer is given: add [[sprayer]] with {asked}; a ground sprayer needs {ground} too"
    ),
    "sprayer.no_label": (
        "no product is given: least carrier, permission by air and droplet class of the label are not "
        "checked; write it from the label in hand (setting: [product])"
    ),
    "sprayer.usual_volumes": (
        "no carrier volumes are given; those that are usual in practice stand in (setting: [carrier])"
    ),
    "sprayer.fields_apart": (
        "with a [[sprayer]], [carrier] or [product] of their own, so that this does not hold there: "
        "{fields}; ask for these folders"
    ),
    "sprayer.reaches_none": (
        "none of the volumes can be sprayed, and `run` refuses this sprayer until volumes, nozzle, pressure "
        "or speed are changed, as the label allows"
    ),
    "sprayer.takes_all": (
        "no nozzle is given, so it is taken to hold every volume at its top speed; look into its own chart"
    ),
    "sprayer.smallest_on_off": (
        "smallest zone to switch on and off: {area}, {across} wide ({sections}) and {along} long; {step} are"
        " driven in the {lag:g} s that a section takes, at {speed}, and a zone is at least {steps:g} times "
        "that long"
    ),
    "sprayer.smallest_rate": (
        "smallest zone for a change of rate: {area}, {across} wide (the whole width) and {along} long; "
        "{step} are driven in {lag:g} s"
    ),
    "sprayer.min_area_counts": "the plan's smallest zone is min_area, {min_area}, which is larger",
    "sprayer.machine_counts": (
        "the plan's smallest zone is the sprayer's own: min_area, {min_area}, is smaller"
    ),
    "sprayer.ratio": "at one speed its volumes can differ {ratio:.2f} times at most ({why})",
    "sprayer.by_pressure": (
        "flow goes with the root of pressure: twice the volume takes four times the pressure"
    ),
    "sprayer.by_duty": "flow goes with the duty",
    "sprayer.pairs": "sharing one speed, in {unit}: {pairs}",
    "sprayer.pairs_apart": "sharing no speed, in {unit}: {pairs}",
    "sprayer.one_tank": (
        "even so a pass has one volume: product goes with the carrier, so {low} {unit} from a tank mixed for"
        " {high} gives {share:.0f} % of its dose; two volumes are two passes, or the product is injected"
    ),
    "sprayer.injected": (
        "the product is injected, so its dose does not move with the carrier volume; a plan still gives each"
        " pass one volume"
    ),
    "sprayer.droplet": (
        "droplet class on the label: {droplet}; whether nozzle and pressure make it, their chart says"
    ),
    "sprayer.no_droplet": "droplet class: not given; read the label, and the chart of the nozzle",
    "sprayer.forbidden": "the label given does not allow it: {why}",
    "sprayer.nozzle_table": (
        "Nozzle sizes of ISO 10625 with the colour of the nozzle. The size is the flow at {psi:g} psi "
        "({bar:.2f} bar); metric tables give it at {metric_bar:g} bar ({metric_psi:.1f} psi), which is "
        "another pressure. The colour says nothing of droplets."
    ),
    "sprayer.from_memory": "sizes above {last} are carried on by the same rule, from memory",
    "sprayer.caution": "worked out from what is typed, not measured: calibrate the sprayer; {caution}",
}
