"""What stands in the file of a strip design: its head, and the pair and treatment of each shape.

Finds every fault that can be found without drawing the shapes.
"""

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeGuard, cast

from zoning.errors import InputError
from zoning.inputs.given import StripTreatment

Json = dict[str, Any]
TREATMENTS = ("untreated", "treated")
MEND = "Bring back the file as it was written, or lay new strips with --new-strips."
_HIGHEST = sys.float_info.max
_LONLAT_NAMES = ("CRS84", "4326")  # what an older standard calls longitude and latitude


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The numbers that stand beside the shapes."""

    season: int
    seed: int
    width_m: float
    heading_deg: float
    laid_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Row:
    """One shape as it stands in the file; `number` counts from 1. What is at fault is None."""

    number: int
    pair: int | None
    treatment: StripTreatment | None
    geometry: object


def collection(text: str, where: str) -> Json:
    """Read a GeoJSON text down to its members.

    Raises
    ------
    InputError
        When it is no JSON, NaN among its numbers included, or no FeatureCollection.
    """
    try:
        whole = json.loads(text, parse_constant=_refuse)
    except (ValueError, RecursionError) as error:
        place = f" (line {error.lineno})" if isinstance(error, json.JSONDecodeError) else ""
        raise InputError(f"the file is no JSON{place}", where=where, mend=MEND) from error
    if not isinstance(whole, dict) or whole.get("type") != "FeatureCollection":
        raise InputError("the file is no FeatureCollection", where=where, mend=MEND)
    return whole


def _refuse(name: str) -> float:
    raise ValueError(name)


def season_of(whole: Json) -> int | None:
    """Give the season of a design, whatever else is wrong with it; None where it names none."""
    found = whole.get("season")
    return found if _is_whole(found) else None


def day_of(whole: Json) -> date | None:
    """Give the day on which a design was laid; None where the file names none."""
    try:
        return date.fromisoformat(whole["laid_on"])
    except (KeyError, TypeError, ValueError):
        return None


def head(whole: Json, where: str, faults: list[InputError]) -> Head:
    """Read the head, and add what is wrong with it to the faults."""
    wanted: dict[str, tuple[Callable[[Any], bool], str]] = {
        "season": (_is_whole, "a year"),
        "seed": (_is_whole, "a whole number"),
        "width_m": (lambda value: _is_number(value) and value > 0, "a number above 0"),
        "heading_deg": (_is_number, "a number"),
    }
    found: Json = {}
    for key, (is_right, kind) in wanted.items():
        if key not in whole:
            mend = f"Programs that save the file may drop it. {MEND}"
            faults.append(InputError(f'there is no "{key}" beside the shapes', where=where, mend=mend))
        elif not is_right(whole[key]):
            what = f'"{key}" is {_shown(whole[key])}, not {kind}'
            faults.append(InputError(what, where=where, mend=MEND))
        else:
            found[key] = whole[key]
    laid_on = day_of(whole)
    if "laid_on" in whole and laid_on is None:
        what = f'"laid_on" is {_shown(whole["laid_on"])}, not a day'
        faults.append(InputError(what, where=where, mend="Write it as 2026-07-08."))
    return Head(
        season=found.get("season", 0),
        seed=found.get("seed", 0),
        width_m=float(found.get("width_m", 0)),
        heading_deg=float(found.get("heading_deg", 0)),
        laid_on=laid_on,
    )


def rows(whole: Json, where: str, faults: list[InputError]) -> list[Row]:
    """Read pair and treatment of each shape, and add what is wrong with them to the faults."""
    crs = whole.get("crs")
    if crs is not None and not any(name in json.dumps(crs) for name in _LONLAT_NAMES):
        mend = 'Save it again in longitude and latitude (WGS 84), without "crs".'
        faults.append(InputError('its "crs" is not longitude and latitude', where=where, mend=mend))
    features = whole.get("features")
    if not isinstance(features, list) or not features:
        faults.append(InputError("the file holds no strips", where=where, mend=MEND))
        return []
    before = len(faults)
    found = [_row(one, number, where, faults) for number, one in enumerate(features, 1)]
    if len(faults) == before:
        _check_pairs(found, where, faults)
    return found


def _row(feature: object, number: int, where: str, faults: list[InputError]) -> Row:
    one = feature if isinstance(feature, dict) else {}
    told = one.get("properties")
    cells = told if isinstance(told, dict) else {}
    pair, treatment = cells.get("pair"), cells.get("treatment")
    good_pair = int(pair) if _is_number(pair) and pair > 0 and pair % 1 == 0 else None
    if good_pair is None:
        what = f"strip {number}: pair is {_shown(pair)}"
        faults.append(InputError(what, where=where, mend="Write the number of its pair, from 1 on."))
    word = treatment.strip().casefold() if isinstance(treatment, str) else ""
    if word not in TREATMENTS:
        what = f"strip {number}: treatment is {_shown(treatment)}"
        faults.append(InputError(what, where=where, mend='Write "untreated" or "treated".'))
    return Row(
        number=number,
        pair=good_pair,
        treatment=cast(StripTreatment, word) if word in TREATMENTS else None,
        geometry=one.get("geometry"),
    )


def _check_pairs(found: Sequence[Row], where: str, faults: list[InputError]) -> None:
    of_pair: dict[int, list[str]] = {}
    for row in found:
        of_pair.setdefault(row.pair or 0, []).append(row.treatment or "")
    for pair, treatments in sorted(of_pair.items()):
        if sorted(treatments) != sorted(TREATMENTS):
            what = f"pair {pair} has {', '.join(sorted(treatments))}"
            mend = "A pair is one untreated and one treated strip: add the other, or take the pair out."
            faults.append(InputError(what, where=where, mend=mend))


def _is_whole(value: object) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_number(value: object) -> TypeGuard[float]:
    # an integer of hundreds of figures is none either: nothing can be reckoned with it
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= _HIGHEST


def _shown(value: object) -> str:
    text = "missing" if value is None else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 40 else text[:37] + "..."
