"""Sentences about what a sprayer can do and cannot do."""

SENTENCES: dict[str, str] = {
    "sprayer.nozzle_missing": (
        "{sprayer} is given without nozzle, nozzle_spacing or pressure, so no rate can be checked"
    ),
    "sprayer.nozzle_unknown": "nozzle size {nozzle} is not one of {sizes}",
    "sprayer.duty_needs_one_pressure": "{sprayer} pulses its nozzles (duty): give one pressure, not a range",
    "sprayer.needs_more_speed": (
        "{volume_gal_ac:g} gal/ac ({volume_l_ha:.0f} L/ha) needs at least {needs_mph:.1f} mph "
        "({needs_kmh:.1f} km/h) with {nozzle} nozzles and the top speed is {has_mph:.4g} mph "
        "({has_kmh:.3g} km/h); nozzle {sizes} would do it"
    ),
    "sprayer.needs_more_speed_no_size": (
        "{volume_gal_ac:g} gal/ac ({volume_l_ha:.0f} L/ha) needs at least {needs_mph:.1f} mph "
        "({needs_kmh:.1f} km/h) with {nozzle} nozzles and the top speed is {has_mph:.4g} mph "
        "({has_kmh:.3g} km/h); no standard nozzle would do it at that speed"
    ),
    "sprayer.needs_less_speed": (
        "{volume_gal_ac:g} gal/ac ({volume_l_ha:.0f} L/ha) needs {needs_mph:.1f} mph ({needs_kmh:.1f} km/h) "
        "or less with {nozzle} nozzles and the lowest speed is {has_mph:.4g} mph ({has_kmh:.3g} km/h); "
        "nozzle {sizes} would do it"
    ),
    "sprayer.needs_less_speed_no_size": (
        "{volume_gal_ac:g} gal/ac ({volume_l_ha:.0f} L/ha) needs {needs_mph:.1f} mph ({needs_kmh:.1f} km/h) "
        "or less with {nozzle} nozzles and the lowest speed is {has_mph:.4g} mph ({has_kmh:.3g} km/h); "
        "no standard nozzle would do it at that speed"
    ),
    "sprayer.no_base": (
        "the way to the fields costs no hours where a sprayer has no base: {sprayers}; give base, its "
        "latitude and longitude"
    ),
    "sprayer.way": (
        "each visit is charged {ways:g} way between base and field, {detour:g} times the straight line by "
        "road (both assumed); an aircraft flies straight, at its top speed"
    ),
}
