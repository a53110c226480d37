"""One line of a scout as values: day, place, pressure, count; and what in it cannot be used.

Knows nothing of the field: whether the day and the place can be is judged elsewhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import cast, get_args

from zoning.errors import InputError
from zoning.inputs import dates
from zoning.inputs.given import Seen
from zoning.inputs.scouting import appending, plants
from zoning.inputs.scouting.points import Line
from zoning.settings.quantities import Pressure
from zoning.words import Said

_OTHER = "other"  # a cause that a fungicide does not reach: pressure low, whatever was seen
_HIGHEST_DEG = {"lat": 90, "lon": 180}
_WHOLE_PCT = 100
_PLACES = 6  # decimals of a degree, some 0.1 m: two places that agree in them are one


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What one line says.

    `when` is on the farm's clock; `when` or `lonlat` is None where the line has none that can be read, and
    then nothing of the line can be used (without a place only where places are asked for). `faults` tell
    what is not used, `remarks` what was changed.
    """

    line: Line
    when: datetime | None
    lonlat: tuple[float, float] | None
    pressure: Pressure | None = None
    cause: str = ""
    severity_pct: float | None = None
    seen: Seen | None = None
    observer: str = ""
    note: str = ""
    photo: str = ""
    faults: tuple[Said, ...] = ()
    remarks: tuple[Said, ...] = ()

    def same(self) -> tuple[object, ...]:
        """Give what two lines have in common that say the same: day, place and values.

        A line with neither pressure nor count is known by its text.
        """
        lon, lat = self.lonlat or (0.0, 0.0)
        key = (self.when and self.when.date(), round(lon, _PLACES), round(lat, _PLACES))
        if self.pressure or self.seen:
            return (*key, self.pressure, self.cause, self.severity_pct, self.seen, self.observer)
        texts = [text for role, text in self.line.cells.items() if role not in ("date", "lat", "lon")]
        written = [appending.plain(text) for text in (*texts, *self.line.others.values())]
        return (*key, tuple(sorted(text for text in written if text)))


def look(line: Line, time_zone: str, *, placed: bool = True) -> Looked:
    """Read the cells of a line.

    Parameters
    ----------
    line : Line
        As it stands in the file.
    time_zone : str
        Of the farm, for times that carry a zone; "" for whole hours by longitude.
    placed : bool
        False: a line without a place is as good as any.

    Raises
    ------
    InputError
        When `time_zone` is not a zone that is known.
    """
    if line.beyond is not None:
        cells, columns = line.beyond
        wide = Said("inputs.scouting_wide", where=line.where, cells=cells, columns=columns)
        return Looked(line=line, when=None, lonlat=None, faults=(wide,))
    faults: list[Said] = []
    lonlat = _place(line, faults) if placed or line.text("lat") or line.text("lon") else None
    when = _when(line, time_zone, lonlat[0] if lonlat else 0.0, faults)
    if when is None or (placed and lonlat is None):
        return Looked(line=line, when=when, lonlat=lonlat, faults=tuple(faults))
    remarks: Sequence[Said] = ()
    seen = None
    try:
        seen, remarks = plants.seen(line)
    except plants.CountError as refused:
        faults.append(refused.said)
    cause = appending.plain(line.text("cause")).lower()
    severity_pct = _severity(line, faults)
    return Looked(
        line=line,
        when=when,
        lonlat=lonlat,
        pressure=_pressure(line, cause, severity_pct, faults),
        cause=cause,
        severity_pct=severity_pct,
        seen=seen,
        observer=appending.plain(line.text("observer")),  # as it will be written: one row, one person
        note=" ".join(line.text("note").split()),
        photo=" ".join(line.text("photo").split()),
        faults=tuple(faults),
        remarks=tuple(remarks),
    )


def shown(text: str) -> str:
    """Quote a cell for a sentence."""
    return f'"{text}"' if text else "(empty)"


def _place(line: Line, faults: list[Said]) -> tuple[float, float] | None:
    found = []
    for name in ("lon", "lat"):
        text = line.text(name)
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if abs(value) <= _HIGHEST_DEG[name]:
            found.append(value)
        else:
            faults.append(Said("inputs.scouting_place", where=line.where, column=name, shown=shown(text)))
    return (found[0], found[1]) if len(found) == 2 else None


def _when(line: Line, time_zone: str, longitude_deg: float, faults: list[Said]) -> datetime | None:
    text = line.text("date")
    try:
        return dates.local(dates.stamp(text), time_zone, longitude_deg)
    except InputError:
        raise  # the farm's own zone is not known, which is a fault of the settings
    except ValueError:
        said = line.text("pressure") or line.text("severity_pct")
        if text or not said:
            faults.append(Said("inputs.scouting_date", where=line.where, shown=shown(text)))
        else:
            faults.append(Said("inputs.scouting_undated", where=line.where, said=said))
        return None


def _severity(line: Line, faults: list[Said]) -> float | None:
    """Read the percent of leaf area with lesions; None where none, or none that can be, is written."""
    text = line.text("severity_pct")
    if not text:
        return None
    try:
        value = float(text.removesuffix("%").rstrip())
    except ValueError:
        value = float("nan")
    if 0 <= value <= _WHOLE_PCT:
        return value + 0.0  # -0 is 0
    faults.append(Said("inputs.scouting_severity", where=line.where, text=text))
    return None


def _pressure(line: Line, cause: str, severity_pct: float | None, faults: list[Said]) -> Pressure | None:
    """Read the pressure class; a severity without one says whether lesions were seen."""
    text = line.text("pressure").lower()
    if text and text not in get_args(Pressure):
        classes = ", ".join(get_args(Pressure))
        faults.append(Said("inputs.scouting_pressure", where=line.where, text=text, classes=classes))
        return None
    if not text and severity_pct is not None:
        text = "seen" if severity_pct > 0 else "low"
    return cast(Pressure, "low" if cause == _OTHER else text) if text else None
