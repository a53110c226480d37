"""Rules between the keys: what a level needs, and which values contradict each other.

Each rule looks at what was typed, so that its faults are told together with those of single values.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from zoning.errors import InputError
from zoning.settings import adjuvant, alone, harvest, images, layers, machines, modes, tank
from zoning.settings.given import Given
from zoning.settings.keys import keys
from zoning.settings.learned import LearnedTrial, before
from zoning.settings.model import Settings
from zoning.settings.plain import fault, missing_fault, typed_number
from zoning.words import Said

_Rule = Callable[[Given], Iterator[InputError]]
_COLUMNS = ("date", "tmin_c", "tmax_c", "rain_mm", "tmin_f", "tmax_f", "rain_in")
_TRIAL_KEYS = ("mean", "se", "trials", "years")
_OR_STRIPS = ", or after a harvest run `sprayworth strips`, which learns all four from your own strips"


def faults(given: Given, *, has_learned: bool = False, has_checked: bool = False) -> list[InputError]:
    """Check every rule.

    Parameters
    ----------
    given : Given
        What was typed, with its lines.
    has_learned : bool
        Whether learned.toml has trials that count: then own trials need not be typed.
    has_checked : bool
        Whether the sprayers were found without a fault before.

    Returns
    -------
    list of InputError
        All of them, code 2.
    """
    rules: tuple[_Rule, ...] = (
        _level_2,
        _pass,
        _other_pass,
        _haul,
        partial(_own_trials, has_learned=has_learned),
        _label,
        _planting,
        _organic,
    )
    rules += (_columns, *images.RULES, *layers.RULES, *modes.RULES, *adjuvant.RULES)
    rules += () if has_checked else machines.RULES
    rules += (*tank.RULES, *harvest.RULES, _time_zone)
    return [one for rule in rules for one in rule(given)]


def _is_table(given: Given, name: str) -> bool:
    return isinstance(given.get(name), dict)


def _level_2(given: Given) -> Iterator[InputError]:
    for there, absent in (("money", "response"), ("response", "money")):
        if _is_table(given, there) and absent not in given.data:
            asked = [key for key in keys().values() if key.table == absent and key.kind == "asked"]
            lines = ", ".join(f"{key.name} = {key.example}" for key in asked)
            yield fault(
                given,
                (there,),
                f"[{there}] is given without [{absent}], and returns need both",
                f"Add [{absent}] with {lines}; or take [{there}] out.",
            )


def _pass(given: Given) -> Iterator[InputError]:
    """Ask for the price of a pass: a bill, or the hours of a machine; none where another pass goes anyway."""
    if not _is_table(given, "money") or _has_other_pass(given):
        return
    sprayers = given.tables("sprayer")
    for number, sprayer in sprayers:
        if "pass" in sprayer and (typed_number(given, "sprayer", number, "machine") or 0) > 0:
            mend = "Keep the bill, or for your own machine its cost an hour."
            yield fault(given, ("sprayer", number, "pass"), "a bill, and the hours of a machine too", mend)
    if given.get("money", "pass") is not None:
        return
    without = [(number, sprayer) for number, sprayer in sprayers if "pass" not in sprayer]
    if given.get("money", "billed") == "field" and (without or not sprayers):
        mend = 'Add pass = "9 USD/ac" with your bill, or take billed out.'
        yield fault(given, ("money", "billed"), "a bill for the whole field, but no pass to bill", mend)
        return
    if not sprayers:
        mend = 'Add it, as pass = "9 USD/ac": what a custom applicator bills.'
        yield fault(given, ("money", "pass"), "missing, and no sprayer is given to take the cost from", mend)
    for number, sprayer in without:
        if "machine" not in sprayer:
            why = ", and money.pass is missing too: the pass would cost nothing"
            yield missing_fault(given, ("sprayer", number, "machine"), why)


def _has_other_pass(given: Given) -> bool:
    typed = given.get("money", "other_pass")
    return isinstance(typed, str) and bool(typed.strip())


def _other_pass(given: Given) -> Iterator[InputError]:
    split_load = typed_number(given, "money", "split_load")
    if split_load and not _has_other_pass(given):
        mend = 'Add other_pass, as other_pass = "insecticide", or take it out.'
        yield fault(given, ("money", "split_load"), "a load of its own, but no other pass", mend)


def _haul(given: Given) -> Iterator[InputError]:
    """Refuse a haul that eats the whole price; a faulty price is told by its own key."""
    haul, price = (typed_number(given, "money", name) for name in ("haul", "grain_price"))
    in_range = not alone.said("money.haul", given.get("money", "haul"))
    if haul is not None and price is not None and in_range and haul >= price > 0:
        mend = "Compare both: the haul is taken off the price, so a bushel would bring nothing."
        yield fault(given, ("money", "haul"), "not below grain_price", mend)


def counted(given: Given, trials: Sequence[LearnedTrial]) -> tuple[LearnedTrial, ...]:
    """Give the learned trials that may count in the season that was typed; without one all of them may."""
    season = given.get("season")
    return before(trials, season) if isinstance(season, int) else tuple(trials)


def _own_trials(given: Given, *, has_learned: bool = False) -> Iterator[InputError]:
    if not _is_table(given, "response"):
        return
    is_source = given.get("response", "source") == "own trials"
    typed = [name for name in _TRIAL_KEYS if given.get("response", name) is not None]
    if typed or (is_source and not has_learned):
        why = ', which the source "own trials" needs' if is_source else f", though {typed[0]} is given"
        for name in _TRIAL_KEYS:
            if name not in typed:
                is_first = not typed and name == _TRIAL_KEYS[0]
                yield missing_fault(given, ("response", name), why, _OR_STRIPS if is_first else "")
    trials, years = (typed_number(given, "response", name) for name in ("trials", "years"))
    if trials is not None and years is not None and years > trials:
        mend = "Count each trial of each year; a trial lies in one year."
        yield fault(given, ("response", "years"), "more years than trials", mend)


def _label(given: Given) -> Iterator[InputError]:
    if not _is_table(given, "product"):
        return
    kinds = [sprayer.get("kind", "ground") for _, sprayer in given.tables("sprayer")]
    from_air = [kind for kind in ("aerial", "drone") if kind in kinds]
    allowed = [kind for kind in from_air if given.get("product", f"{kind}_allowed") is True]
    if allowed and given.get("product", "min_carrier_air") is None:
        yield missing_fault(given, ("product", "min_carrier_air"), f", which the {allowed[0]} sprayer needs")


OF_LABEL = (_label,)


def _planting(given: Given) -> Iterator[InputError]:
    if given.get("planting", "file") is not None and given.get("planting", "date") is not None:
        mend = "Keep the file, or the one date for the whole field."
        yield fault(given, ("planting", "date"), "a date and a file are both given", mend)


def _organic(given: Given) -> Iterator[InputError]:
    if given.get("market") == "organic":
        mend = "Take the field out of the farm, or take market out if it is not organic."
        yield fault(given, ("market",), "an organic crop gets no such product", mend)


def _columns(given: Given) -> Iterator[InputError]:
    columns = given.get("weather", "columns")
    for name in columns if isinstance(columns, dict) else ():
        if name not in _COLUMNS:
            mend = f'Write our name first, as tmin_f = "LOW"; known are {", ".join(_COLUMNS)}.'
            yield fault(given, ("weather", "columns", name), "unknown column", mend)


def _time_zone(given: Given) -> Iterator[InputError]:
    name = given.get("time_zone")
    if isinstance(name, str) and name.strip():
        try:
            ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            mend = 'Write it as "America/Chicago".'
            yield fault(given, ("time_zone",), "not a time zone that is known", mend)


def missing(settings: Settings) -> tuple[Said, ...]:
    """Say what the next levels need.

    Parameters
    ----------
    settings : Settings
        Checked, of any level.
    """
    said = []
    if settings.money is None:
        said.append(Said("settings.no_returns"))
    elif not settings.sprayers:
        said.append(Said("settings.no_tracks"))
    if settings.product is None:
        asked = [key for key in keys().values() if key.table == "product" and key.kind == "asked"]
        limits = "; ".join(f"{key.name} ({key.words})" for key in asked)
        said.append(Said("settings.no_label", limits=limits))
    if not settings.sprayers:
        said.append(Said("settings.no_sprayer"))
    if settings.zones.treatment == "swath cells" and said:  # each of the above keeps level 3 away
        said.append(Said("settings.no_swath_cells"))
    if said and settings.farm_folder is None:
        said.append(Said("settings.no_farm"))
    if settings.zones.zone_column and not settings.zones.file:
        said.append(Said("settings.no_zone_file"))
    return tuple(said)
