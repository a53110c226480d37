"""What `sprayworth worth` is asked: options as they were typed, read and checked, all faults at once.

An option that asks what a key of the settings asks has the same limits and is refused in the same words.
"""

from dataclasses import dataclass
from math import inf, isfinite
from typing import Any, Literal

from zoning import units
from zoning.errors import SETTINGS, InputError, raise_all
from zoning.returns.remarks import codes
from zoning.returns.response import Place
from zoning.returns.sources import Curve, Disease, curve_for
from zoning.returns.verdict import Rule
from zoning.settings import alone, modes
from zoning.settings.model import Pressure, Response, Source
from zoning.settings.quantities import usual

StageName = Literal["R1", "R2", "R3", "R4", "R5"]
RuleName = Literal["expected", "chance", "cautious"]

# Option -> the key that asks the same.
_KEYS = {
    "price": "money.grain_price",
    "cost": "money.product",
    "share_of_grain": "money.share_of_grain",
    "min_net": "money.min_net",
    "min_chance": "money.min_chance",
    "loss_weight": "money.loss_weight",
    "mean": "response.mean",
    "se": "response.se",
    "years": "response.years",
    "severity": "response.severity_pct",
    "efficacy": "response.efficacy",
    "expected_yield": "expected_yield",
    "tracks": "expected_yield",  # no more can be lost than stands there
}
_SHOWN_AS = {"expected_yield": "yield"}
_NUMBERS = ("share_of_grain", "min_chance", "loss_weight", "severity", "efficacy")
_SHARES = ("share_of_grain", "min_chance", "efficacy")
_OWN = {"mean": '"3.4 bu/ac"', "se": '"0.6 bu/ac"', "years": "4"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """The options of the command, as they were typed; None where one was left out."""

    price: str
    cost: str
    source: Source
    pressure: Pressure = "unknown"
    severity: str | None = None
    disease: Disease = "frogeye"
    efficacy: str | None = None
    groups: str | None = None
    resistant: str | None = None
    mean: str | None = None
    se: str | None = None
    years: int | None = None
    expected_yield: str | None = None
    tracks: str | None = None
    stage: StageName = "R3"
    curve: Curve | None = None
    share_of_grain: str | None = None
    rule: RuleName = "expected"
    min_net: str | None = None
    min_chance: str | None = None
    loss_weight: str | None = None
    target: str = ""
    metric: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bet:
    """What is asked, in our own units."""

    grain_price_usd_bu: float
    cost_usd_ac: float
    share_of_grain_frac: float
    response: Response
    place: Place
    curve: Curve
    expected_yield_bu_ac: float  # infinite where it is not known
    track_loss_bu_ac: float
    stage: StageName
    rule: Rule
    target: str
    metric: bool
    efficacy_assumed: bool = False
    groups_known: bool = False

    @property
    def price_usd_bu(self) -> float:
        """What a bushel brings the grower."""
        return self.grain_price_usd_bu * self.share_of_grain_frac


def bet_of(typed: Typed) -> Bet:
    """Read what was typed.

    Parameters
    ----------
    typed : Typed

    Returns
    -------
    Bet

    Raises
    ------
    InputError
        Code 2; all faults together, each as `--option "value": what. mend`.

    Examples
    --------
    >>> bet = bet_of(Typed(price="386 USD/t", cost="74 USD/ha", source="pooled trials"))
    >>> round(bet.price_usd_bu, 2), round(bet.cost_usd_ac, 2), bet.metric
    (10.51, 29.95, True)
    """
    faults: list[InputError] = []
    read = {name: _value(typed, name, faults) for name in _KEYS}
    faults += _own_trials(typed) + _severity(typed) + _groups(typed)
    if read["tracks"] is not None and read["tracks"] >= (read["expected_yield"] or inf):
        faults.append(_fault(typed, "tracks", "more than the yield", "Compare it with --yield."))
    raise_all(faults)
    pct, efficacy_frac = read["severity"], _or(read["efficacy"], usual("efficacy"))
    yield_bu_ac = _or(read["expected_yield"], inf)
    response = Response.model_construct(
        source=typed.source, mean_bu_ac=read["mean"], se_bu_ac=read["se"], years=read["years"],
        severity_pct=pct, disease=typed.disease, efficacy_frac=efficacy_frac,
        stage_curve="practice" if typed.source == "practice series" else "published",
    )  # fmt: skip
    return Bet(
        grain_price_usd_bu=read["price"],
        cost_usd_ac=read["cost"],
        share_of_grain_frac=_or(read["share_of_grain"], 1.0),
        response=response,
        place=_place(typed, response, yield_bu_ac),
        curve=typed.curve or curve_for(typed.source, response),
        expected_yield_bu_ac=yield_bu_ac,
        track_loss_bu_ac=_or(read["tracks"], 0.0),
        stage=typed.stage,
        rule=Rule(
            name=typed.rule,
            min_net_usd_ac=_or(read["min_net"], 0.0),
            min_chance_frac=_or(read["min_chance"], usual("min_chance")),
            loss_weight=_or(read["loss_weight"], usual("loss_weight")),
        ),
        target=typed.target,
        metric=typed.metric or _is_metric(typed),
        efficacy_assumed=typed.efficacy is None,
        groups_known=bool(_listed(typed.groups)),
    )


def _place(typed: Typed, response: Response, expected_yield_bu_ac: float) -> Place:
    groups = _listed(typed.groups)
    works = groups - _listed(typed.resistant)
    return Place(
        pressure=typed.pressure,
        severity_pct=response.severity_pct,
        disease=response.disease,
        efficacy_frac=response.efficacy_frac,
        groups=len(works),
        resisted=bool(groups) and not works,
        expected_yield_bu_ac=expected_yield_bu_ac,
    )


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _listed(text: str | None) -> set[str]:
    """Read modes of action, as "3,11"."""
    return set(codes([text or ""]))


def _option(name: str) -> str:
    return f"--{_SHOWN_AS.get(name, name).replace('_', '-')}"


def _fault(typed: Typed, name: str, what: str, mend: str) -> InputError:
    raw = getattr(typed, name)
    shown = "" if raw is None else f' "{raw}"' if isinstance(raw, str) else f" {raw}"
    return InputError(what, where=f"{_option(name)}{shown}", mend=mend, code=SETTINGS)


def _value(typed: Typed, name: str, faults: list[InputError]) -> Any:
    """Read one option by the key that asks the same; a fault is kept for later."""
    raw = getattr(typed, name)
    if raw is None:
        return None
    read: Any = _number(raw, name) if name in _NUMBERS else raw
    if read is None:
        example = '"0.5" or "50 %"' if name in _SHARES else '"20"'
        faults.append(_fault(typed, name, "not a number", f"Write it as {_option(name)} {example}."))
        return None
    if name == "tracks" and _is_none_lost(raw):
        return 0.0
    said = alone.said(_KEYS[name], read)
    if said is not None:
        faults.append(_fault(typed, name, *said))
        return None
    return alone.value(_KEYS[name], read, _option(name))


def _number(text: str, name: str) -> float | None:
    """Read a plain number, or one in percent; None where it is neither."""
    is_percent = text.rstrip().endswith("%")
    try:
        number = float(text.rstrip().removesuffix("%"))
    except ValueError:
        return None
    if not isfinite(number) or (is_percent and name not in (*_SHARES, "severity")):
        return None
    return number / 100 if is_percent and name in _SHARES else number


def _is_none_lost(text: str) -> bool:
    try:
        return units.parse(text, "bu_ac") == 0
    except units.UnitError:
        return False


def _own_trials(typed: Typed) -> list[InputError]:
    """Ask for all of the own trials where they are the source, or where a part of them is given."""
    is_source = typed.source == "own trials"
    given = [name for name in _OWN if getattr(typed, name) is not None]
    why = (
        ', which --source "own trials" needs'
        if is_source
        else f", though --{given[0]} is given"
        if given
        else ""
    )
    return [
        _fault(typed, name, f"missing{why}", f"Add it, written like --{name} {example}.")
        for name, example in _OWN.items()
        if why and name not in given
    ]


def _severity(typed: Typed) -> list[InputError]:
    faults = []
    if typed.severity is not None and typed.expected_yield is None:
        mend = 'Add what the crop would yield without the disease, written like --yield "58 bu/ac".'
        faults.append(_fault(typed, "expected_yield", "missing, which --severity needs", mend))
    if typed.efficacy is not None and typed.severity is None:
        mend = 'Add the forecast near R6, written like --severity "20", or take --efficacy out.'
        faults.append(_fault(typed, "efficacy", "given without --severity", mend))
    return faults


def _groups(typed: Typed) -> list[InputError]:
    """Refuse modes of action that are no code: they would count as none."""
    given = [name for name in ("groups", "resistant") if (getattr(typed, name) or "").strip()]
    return [_fault(typed, name, *modes.FAULT) for name in given if not modes.is_code(getattr(typed, name))]


def _is_metric(typed: Typed) -> bool:
    """Whether both price and cost were typed in metric units."""
    price, cost = (text.replace(" ", "").lower() for text in (typed.price, typed.cost))
    by_mass = any(price.endswith(f"/{unit}") for unit in ("t", "tonne", "tonnes", "kg"))
    return by_mass and any(cost.endswith(f"/{unit}") for unit in ("ha", "hectare", "hectares"))
