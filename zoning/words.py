"""A reason or a doubt is a code plus numbers; here it becomes a sentence.

Rooms say `Said("zones.one_response", block="A")`; people read `said.text`. Numbers are rounded here and
nowhere else. The words never promise that a spray does no harm, and never replace the label.
"""


class Said:
    """One thing that the user should know: a code and the numbers that belong to it.

    Parameters
    ----------
    code : str
        Key of `SENTENCES`.
    **values : object
        What the sentence names; checked at once, so that a wrong name is found in tests.

    Examples
    --------
    >>> Said("zones.one_response", block="A").text
    'the zones of block A have one response'
    """

    __slots__ = ("code", "text", "values")

    def __init__(self, code: str, **values: object) -> None:
        self.code = code
        self.values = values
        self.text = SENTENCES[code].format(**values)

    def __hash__(self) -> int:
        return hash((self.code, self.text))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Said) and (self.code, self.text) == (other.code, other.text)

    def __repr__(self) -> str:
        return f"Said({self.code!r}: {self.text})"


# One section a room; a code is `<room>.<what>`.
SENTENCES: dict[str, str] = {
    # -- settings ------------------------------------------------------------------------------------------
    # -- inputs --------------------------------------------------------------------------------------------
    # -- sprayer -------------------------------------------------------------------------------------------
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
    # -- zones ---------------------------------------------------------------------------------------------
    "zones.one_response": "the zones of block {block} have one response",
    # -- stage ---------------------------------------------------------------------------------------------
    "stage.calendar": "no weather file: stage dates come from a calendar table, SD {sd:g} d",
    "stage.no_complete_year": (
        "no past year of the weather file has every day from {first:%d %b} to {last:%d %b}: stage dates come "
        "from a calendar table, SD {sd:g} d, as without a weather file"
    ),
    "stage.few_years": (
        "the weather to come is taken from {count} complete past years ({years}); {wanted:g} or more tell better "
        "how far it may differ"
    ),
    "stage.weather_ends": (
        "the weather file has no temperatures from {first} on; past years stand in from that day"
    ),
    "stage.latitude_unseen": (
        "latitude {latitude:.1f} lies outside {south:g} to {north:g} degrees, where the stage model was compared "
        "with plots"
    ),
    "stage.group_unseen": "the stage model was compared with no plot of maturity group {group:g}",
    # -- returns -------------------------------------------------------------------------------------------
    # -- passes --------------------------------------------------------------------------------------------
    "passes.planning_hours": (
        "spray hours are a planning figure, {hours:.1f} h a day, not a forecast: no hourly weather was given"
    ),
    "passes.below_label_minimum": (
        "{volume_gal_ac:g} gal/ac ({volume_l_ha:.0f} L/ha) is below the label minimum "
        "of {least_gal_ac:g} gal/ac ({least_l_ha:.0f} L/ha) for this kind of sprayer"
    ),
    "passes.not_by_air": "the label as entered does not allow application by air",
    "passes.not_by_drone": "the label as entered does not allow application by drone",
    "passes.no_air_minimum": "the label minimum carrier volume by air (min_carrier_air) is not entered",
    "passes.past_latest_stage": (
        "from {first:%Y-%m-%d} on {after} may have begun, and the label as entered allows spraying "
        "up to {latest}"
    ),
    "passes.past_pre_harvest": (
        "from {first:%Y-%m-%d} on the pre-harvest interval of {interval_d} d may reach past maturity (R7), "
        "though harvest comes some days later"
    ),
    "passes.visit_too_long": (
        "spraying it would take more than {days:.0f} days at {hours:.1f} spray hours a day"
    ),
    "passes.visit_costs": (
        "would return {usd:.0f} USD on its best day, and a visit of its own costs {cost_usd:.0f} USD"
    ),
    "passes.only_another_day": (
        "pays on another day than the visits of the plan, but not enough for the plan to change"
    ),
    "passes.crossing_costs": "pays by itself, but not after the crop that driving to it would press down",
    # -- prescription --------------------------------------------------------------------------------------
    # -- field and farm ------------------------------------------------------------------------------------
}
