"""A reason or a doubt is a code plus numbers; here it becomes a sentence.

Rooms say `Said("zones.one_response", block="A")`; people read `said.text`. Numbers are rounded here and
nowhere else. The words never promise that a spray does no harm, and never replace the label.
"""

from zoning.question_words import QUESTIONS
from zoning.scout_words import SCOUTING


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
    "settings.no_returns": "no returns and no spray or skip: [money] and [response] are not given",
    "settings.no_tracks": "wheel tracks not counted: no sprayer given",
    "settings.no_label": "no prescription: the label limits are missing; [product] needs {limits}",
    "settings.no_sprayer": "no passes and no carrier rate: no [[sprayer]] is given",
    "settings.no_farm": "there is no farm.toml in the field's folder or in the one above it",
    # -- inputs --------------------------------------------------------------------------------------------
    "inputs.boundary_mended": (
        "{file} is no clean outline ({fault} near {place}) and was mended: {before_ac:.2f} ac as drawn, "
        "{after_ac:.2f} ac now; look at it on the map"
    ),
    "inputs.planting_mended": "row {row} of {file} crosses itself and was mended",
    "inputs.planting_gap": (
        "{ac:.2f} ac of the field are in no polygon of {file} and went to the block beside them"
    ),
    "inputs.planting_overlap": (
        "polygons of {file} overlap on {ac:.2f} ac; the first in the file has that ground"
    ),
    "inputs.planting_far": (
        "{percent:.1f} % of the field lies more than {m:.0f} m from any record of {file}; the nearest "
        "record is taken there"
    ),
    "inputs.emerged_later": "the emergence of block {block} on {emerged} lies after today and is not used",
    "inputs.image_later": "{file} was taken on {day}, after {today}, and is not used",
    "inputs.image_tagged": "{file} carries its own scale and offset; they were used",
    "inputs.image_negative": (
        "{percent:.0f} % of the pixels of {file} have a reflectance below 0: its offset may have been "
        "applied twice, or its nodata value is not in the file"
    ),
    "inputs.index_negative": (
        "{name} from {file} is below 0 on most of the field, as over water: check the numbers in bands"
    ),
    "inputs.layer_mostly_empty": "{file} shows only {percent:.0f} % of the field and is not used",
    "inputs.layer_partly_empty": "{file} does not show {percent:.0f} % of the field",
    "inputs.layer_constant": "{name} in {file} is the same everywhere and tells no zones apart",
    "inputs.weather_later": "rows of {file} after {today} were ignored: {rows}",
    "inputs.weather_refused": "impossible values of {file} were left out: {count}, the first {first}",
    "inputs.weather_twice": "days twice in {file}: {count}, the first {first}; the first row counts",
    "inputs.weather_ends": "the weather in {file} ends on {last}: the days since are taken from other years",
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
    "zones.no_layer": "block {block} is one zone: no layer tells its parts apart",
    "zones.small": "block {block} is one zone: it does not hold two zones of the smallest size",
    "zones.few_cells": "block {block} is one zone: too few of its cells were seen in every layer",
    "zones.rise": "block {block} is one zone: its layers show nothing that is more than noise",
    "zones.size": "block {block} is one zone: what its layers show is smaller than the smallest zone",
    # -- stage ---------------------------------------------------------------------------------------------
    "stage.calendar": "no weather file: stage dates come from a calendar table, SD {sd:g} d",
    "stage.no_date": (
        "block {block} has no stage dates: without past years of daily weather a calendar table stands in, "
        "and {outside}; add {add}"
    ),
    "stage.no_complete_year": (
        "no past year of the weather file has every day from {first:%b} {first.day} to {last:%b} {last.day}: "
        "stage dates come from a calendar table, SD {sd:g} d, as without a weather file"
    ),
    "stage.few_years": (
        "complete past years behind the weather to come: {count} ({years}); {wanted:g} or more tell better "
        "how far it may differ"
    ),
    "stage.weather_ends": (
        "the weather file has no temperatures from {first} on; past years stand in from that day"
    ),
    "stage.latitude_unseen": (
        "latitude {latitude:.1f} lies outside {south:g} to {north:g} degrees, where the stage model was "
        "compared with plots"
    ),
    "stage.count_contradicts": (
        "the counts in {place} are far from the model: R3 {after:%b} {after.day} instead of "
        "{before:%b} {before.day}; the counts are used, check variety and planting date"
    ),
    "stage.two_ages": (
        "{place} has plants of two ages, seen on {on:%b} {on.day}: {share:.0%} near R3 on "
        "{older:%b} {older.day}, the rest near {younger:%b} {younger.day}; they are not averaged to one date "
        "and tell nothing of other places"
    ),
    "stage.group_unseen": "the stage model was compared with no plot of maturity group {group:g}",
    # -- counts in other fields ----------------------------------------------------------------------------
    "seen.not_read": "the counts of field {field} were not used here: {why}",
    # -- returns -------------------------------------------------------------------------------------------
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
    # -- passes --------------------------------------------------------------------------------------------
    "passes.walk_re_entry": (
        "nobody walks in before {first:%b} {first.day}: the re-entry interval of the pass of "
        "{on:%Y-%m-%d %H:%M} runs to {over:%Y-%m-%d %H:%M}"
    ),
    "passes.walk_no_interval": (
        "no walk is suggested here: {product} was sprayed on {on:%Y-%m-%d} and its re-entry interval is "
        "not given; it stands on the label in hand"
    ),
    "scout.none": "no count is worth a walk today: the best gains {usd:.0f} USD, a walk costs {cost:.0f} USD",
    "scout.no_money": "no returns here: ranked by how many days one count takes off the SD of R3",
    "scout.again": "after a count run again: it speaks of the zones beside it too, and their values fall",
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
    "passes.pass_loses": (
        "pays by itself, but the whole pass with it would lose {usd:.0f} USD once visit and wheel tracks "
        "are paid"
    ),
    "passes.pass_below_min_net": (
        "pays by itself, but the whole pass with it would return {usd:.0f} USD once visit and wheel tracks "
        "are paid, which is not above your min_net"
    ),
    "passes.pass_without_it": (
        "pays by itself, but every pass returns more without it: crop pressed down on the way, or hours"
    ),
    "passes.only_another_day": (
        "pays on another day than the visits of the plan, but not enough for the plan to change"
    ),
    "passes.left_out_of_visit": (
        "pays by itself, but pass {number} returns more without it: crop pressed down on the way, or hours"
    ),
    # -- prescription --------------------------------------------------------------------------------------
    # -- field and farm ------------------------------------------------------------------------------------
    "offers.walk": (
        "no count pins R3 in {zones}: the dates are provisional, walk there about {day:%b} {day.day} "
        "and stage 20 plants"
    ),
    "offers.count_moved": (
        "zone {zone}: R3 likely {likely:%b} {likely.day} instead of {before:%b} {before.day}, SD {sd:.1f} d "
        "instead of {sd_before:.1f} (counted {on:%b} {on.day}, {text}{more})"
    ),
    "offers.count_kept": (
        "zone {zone}: R3 likely {likely:%b} {likely.day} as before the count, SD {sd:.1f} d instead of "
        "{sd_before:.1f} (counted {on:%b} {on.day}, {text}{more})"
    ),
    "offers.counts_elsewhere": "{zones}: counts made elsewhere put R3 likely {days} than the model alone",
    "offers.stage_only": "says when R3 begins, not whether a pass pays: no money and response settings",
    "offers.no_dates": "no returns, no passes: R3 is not known in block {blocks}",
    "offers.no_stage": "R3 is not known here",
    "offers.no_yield": "no expected yield given: the response is not cut for poor ground",
    "offers.beyond_horizon": (
        "block {block} closes on {closes:%b} {closes.day}, after the {horizon} days of the horizon: days "
        "beyond it are planned on the weather of past years"
    ),
    "offers.first_sprayer": "several sprayers are given; this plan uses the first one, {sprayer}",
    "offers.label_in_block": "block {block}: {why}",
    "offers.no_day": "no day is left on which the label and the stage allow a spray",
    "offers.driven_off": (
        "{area:.1f} {unit} of skipped ground are driven with the boom off, which costs {usd:.0f} USD of crop"
    ),
    "offers.driven_anyway": (
        "{why}; {share:.0f} % of it is driven anyway for the zones beside it, where its tracks do not count"
    ),
    "offers.pass_returns_more": "{why}; the pass returns more with it than without it",
    "offers.several_days": "pass {number} is under way for {days} days, to {last:%Y-%m-%d}",
    "offers.middle_day": (
        "the zones' own net is that of the middle day of their pass: {usd:+.0f} USD against the total, which "
        "counts every day"
    ),
    "offers.shared_tracks": (
        "wheel tracks of {usd:.0f} USD on ground that is driven anyway are in the total, not in the zones' "
        "own net"
    ),
    "offers.estimate_differs": (
        "wheel tracks shared by two visits are counted once: {usd:+.0f} USD against the search's estimate"
    ),
} | SCOUTING | QUESTIONS

# What goes with every result; the label and local rules stand above all of it.
_CAUTIONS = (
    "a prediction, not an instruction: the product label, local rules and a licensed applicator decide",
    "a pesticide can harm people: keep to the label's protective equipment and re-entry interval",
    "soybean still flowers at R3 and bees are in the field: tell beekeepers, and spray when they do not fly",
    "neighbours, water and homes lie downwind of somewhere: buffers depend on the wind at spraying",
)
_CAUTIONS_OF = {
    "US": ("in the United States using a product against its label breaks federal law",),
}


def cautions(country: str) -> tuple[str, ...]:
    """Give the cautions that go with every result; a country's own law only in that country.

    Examples
    --------
    >>> len(cautions("US")) - len(cautions("AR"))
    1
    """
    return (*_CAUTIONS, *_CAUTIONS_OF.get(country, ()))
