"""An application record to fill in: what the plan knows is written there, the rest are blank lines.

Claims to meet no law. Computes nothing and prints nothing.
"""

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from zoning import units
from zoning.show.figures import day, plain
from zoning.words import Said

_NAME = 36  # letters of the left column
_BLANK = "_" * 40
_WIDTH = 78  # a printed page
_START_END = "at the start ____________   at the end ____________"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordKnown:
    """What is known of a pass before it is sprayed; empty or None where nothing is.

    `dose` is the text of the label, `zones` are empty where the whole field is sprayed.
    """

    field: str
    farm: str = ""
    pass_number: int | None = None
    zones: tuple[int, ...] = ()
    planned: date | None = None
    half: str = ""
    sprayer: str = ""
    product: str = ""
    dose: str = ""
    rate_gal_ac: float | None = None
    area_ac: float | None = None
    loads: int | None = None
    re_entry_h: float | None = None
    is_metric: bool = False


def record_text(known: RecordKnown) -> str:
    """Write the record of one pass, to be printed and filled in.

    Parameters
    ----------
    known : RecordKnown
        What the plan knows.

    Examples
    --------
    >>> text = record_text(RecordKnown(field="North", product="Invented Fungicide A", rate_gal_ac=15.0))
    >>> [line for line in text.splitlines() if line.startswith(("product  ", "carrier", "licence"))]
    ['product                             Invented Fungicide A', \
'carrier volume                      15 gal/ac', \
'licence number                      ________________________________________']
    """
    head = [_title(known), ""]
    rows = [f"{name:<{_NAME}}{text or _BLANK}" for name, text in _lines(known)]
    told = [said.text for said in _notes()]
    return "\n".join([*head, *rows, "", *(textwrap.fill(_sentence(one), _WIDTH) for one in told)])


def record_object(known: RecordKnown) -> dict[str, object]:
    """Give the same as an object for JSON: what is known, and the lines that are blank."""
    lines = list(_lines(known))
    return {
        "title": _title(known),
        "lines": [{"line": name, "text": text if _BLANK[:6] not in text else ""} for name, text in lines],
        "notes": [said.text for said in _notes()],
    }


def _notes() -> tuple[Said, ...]:
    """Give what is to be known of the record, printed or on a screen."""
    return Said("done.record_planned"), Said("done.record"), Said("loads.keep")


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _title(known: RecordKnown) -> str:
    parts = [known.farm, known.field, f"pass {known.pass_number}" if known.pass_number else ""]
    return f"APPLICATION RECORD: {', '.join(plain(part, 60) for part in parts if part)}"


def _lines(known: RecordKnown) -> Iterator[tuple[str, str]]:
    """Give the name and the content of each line; an empty content is a blank to fill in."""
    planned = (
        f" (planned {day(known.planned)}{f' {known.half}' if known.half else ''})" if known.planned else ""
    )
    yield "crop", "soybean"
    yield "zones", ", ".join(map(str, known.zones)) or "the whole field"
    yield f"day{planned}", ""
    yield "start, end", "from ____________ to ____________"
    yield "sprayer", plain(known.sprayer, 60)
    yield "product", plain(known.product, 60)
    yield "registration number", ""
    yield "product on an area", plain(known.dose, 60)
    yield "product in all", ""
    yield "carrier volume", _rate(known)
    yield "area treated", _area(known)
    yield "loads", "" if known.loads is None else str(known.loads)
    yield "wind and its direction", _START_END
    yield "temperature", _START_END
    yield "relative humidity", _START_END
    yield "applicator", ""
    yield "licence number", ""
    yield f"nobody goes in before{_interval(known)}", ""
    yield "what else there was", ""


def _rate(known: RecordKnown) -> str:
    if known.rate_gal_ac is None:
        return ""
    if known.is_metric:
        return f"{units.l_ha_from_gal_ac(known.rate_gal_ac):.0f} L/ha"
    return f"{known.rate_gal_ac:g} gal/ac"


def _area(known: RecordKnown) -> str:
    if known.area_ac is None:
        return ""
    return f"{units.ha_from_ac(known.area_ac):.1f} ha" if known.is_metric else f"{known.area_ac:.1f} ac"


def _interval(known: RecordKnown) -> str:
    return "" if known.re_entry_h is None else f" (end + {known.re_entry_h:g} h)"
