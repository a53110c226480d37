"""The kinds of value that a setting can have: quantities with units, and what stands in when left out.

Reads no file of the user's; the defaults are evidence entries, so that each has a passport.
"""

import re
from collections.abc import Iterable
from typing import Annotated, Literal, get_args, get_origin

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    field_validator,
)

from zoning import evidence, units


def _quantity(suffix: str) -> BeforeValidator:
    return BeforeValidator(lambda text: units.parse(text, suffix))


def _share(given: object) -> object:
    """Read a percentage as a share; a number is one already."""
    if not isinstance(given, str):
        return given
    match = _PERCENT.fullmatch(given)
    if match is None:
        raise units.UnitError("not a percentage", 'Write it as "13 %".')
    return float(match[1]) / 100


_PERCENT = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*%\s*")

Usd = Annotated[float, _quantity("usd")]
UsdBu = Annotated[float, _quantity("usd_bu")]
UsdAc = Annotated[float, _quantity("usd_ac")]
UsdGal = Annotated[float, _quantity("usd_gal")]
UsdH = Annotated[float, _quantity("usd_h")]
BuAc = Annotated[float, _quantity("bu_ac")]
GalAc = Annotated[float, _quantity("gal_ac")]
Gal = Annotated[float, _quantity("gal")]
Ac = Annotated[float, _quantity("ac")]
M = Annotated[float, _quantity("m")]
Mph = Annotated[float, _quantity("mph")]
Moisture = Annotated[float, BeforeValidator(_share)]
Volume = Annotated[GalAc, Field(gt=0, le=100)]
Speed = Annotated[Mph, Field(gt=0, le=250)]  # aircraft too

Stage = Literal["R1", "R2", "R3", "R4", "R5", "R6", "R7"]
Pressure = Literal["low", "unknown", "medium", "high", "seen"]
Source = Literal["pooled trials", "practice series", "own trials"]
Index = Literal["NDVI", "NDRE", "GNDVI", "OSAVI", "CIre", "EVI2", "MSAVI2"]
ImageProduct = Literal["", "sentinel-2 l2a", "landsat c2 l2"]
Terrain = Literal["slope", "aspect", "wetness"]
Share = Annotated[float, Field(gt=0, le=1)]


def _shown(text: str) -> str:
    """Refuse a text that shows nothing."""
    if not text.strip():
        raise units.UnitError("a text on one line is expected", "Write it without line breaks and tabs.")
    return text


def _one_line(text: str) -> None:
    """Refuse a text that would break the lines in which it is shown, turn them around, or fill the page."""
    if len(text) > _LONGEST_TEXT:
        what = f"a text of {len(text):,} letters"
        raise units.UnitError(what, f"Write at most {_LONGEST_TEXT}.")
    if any(one in _BREAKS for one in text):
        raise units.UnitError("a text on one line is expected", "Write it without line breaks and tabs.")
    if not text.isprintable():
        what = "letters stand in it that do not show, or turn the direction of writing"
        raise units.UnitError(what, "Type it anew, without copying.")


_LONGEST_TEXT = 1000
_BREAKS = "\t\n\v\f\r\x1c\x1d\x1e\x85\u2028\u2029"
Text = Annotated[str, Field(min_length=1), AfterValidator(_shown)]


def _pressures(given: object) -> object:
    """One pressure, or the lowest and the highest; each checked here, so that a fault has one message."""
    if isinstance(given, list | tuple):
        if len(given) != 2:
            raise units.UnitError("two values are expected", 'Write them as ["30 psi", "90 psi"].')
        return tuple(units.parse(one, "psi") for one in given)
    return units.parse(given, "psi")


Pressures = Annotated[tuple[float, float] | float | None, BeforeValidator(_pressures)]


class Part(BaseModel):
    """A section of the settings: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=False, allow_inf_nan=False)

    @field_validator("*", mode="before")
    @classmethod
    def _true_is_no_number(cls, value: object, about: ValidationInfo) -> object:
        """Refuse true and false for a number: the library would take them for 1 and 0."""
        if isinstance(value, bool) and about.field_name is not None:
            kinds = _kinds(cls.model_fields[about.field_name].annotation)
            if not kinds.isdisjoint({int, float}) and bool not in kinds:
                raise units.UnitError("a number is expected", "Write a number in place of true or false.")
        return value

    @field_validator("*", mode="before")
    @classmethod
    def _texts_stand_on_one_line(cls, value: object, about: ValidationInfo) -> object:
        """Refuse letters that do not show in every text, also in those of a list or of pairs of texts."""
        is_pairs = about.field_name and get_origin(cls.model_fields[about.field_name].annotation) is dict
        found = value.values() if is_pairs and isinstance(value, dict) else value
        for text in found if isinstance(found, Iterable) and not isinstance(found, str | dict) else (found,):
            if isinstance(text, str):
                _one_line(text)
        return value


def _kinds(annotation: object) -> set[object]:
    """List the types that a field can be of."""
    parts = get_args(annotation)
    return set().union(*map(_kinds, parts)) if parts else {annotation}


def usual_text(name: str) -> str:
    """Give the text that stands in for a quantity left out.

    Examples
    --------
    >>> usual_text("row_spacing")
    '30 in'
    """
    return f"{evidence.number(f'settings.{name}'):g} {evidence.entry(f'settings.{name}').unit}"


def usual_texts(name: str) -> tuple[str, ...]:
    """Give the texts that stand in for a list of quantities left out.

    Examples
    --------
    >>> usual_texts("volumes")
    ('10 gal/ac', '15 gal/ac', '20 gal/ac')
    """
    unit = evidence.entry(f"settings.{name}").unit
    return tuple(f"{value:g} {unit}" for value in evidence.numbers(f"settings.{name}"))


def usual(name: str) -> float:
    """Give the number that stands in for one left out.

    Examples
    --------
    >>> usual("rate_lag")
    4.0
    """
    return evidence.number(f"settings.{name}")


def usual_count(name: str) -> int:
    """Give the whole number that stands in for one left out.

    Examples
    --------
    >>> usual_count("horizon")
    21
    """
    return int(evidence.number(f"settings.{name}"))
