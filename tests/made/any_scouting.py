"""Rows of a scout drawn for properties, each with what it means, and how they are written in each format.

Meaning and writing are our own: nothing of the program's readers or writers is used.
"""

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from xml.sax.saxutils import escape

from hypothesis import strategies as st

from zoning.inputs.seen import AtOrPast, PodLength, Seen, StagedNote, Tally

FIRST, LAST = date(2026, 5, 7), date(2026, 7, 20)
# What a note may hold that no format cuts: letters of all kinds, signs of formulas, quotes and separators.
_ODD = "abc 12,;\t\"'=+-@#<>&%é\u0301ß🌾½٣/\\|*"
_STAGES = ("R1", "R2", "R3", "R4", "R5")


@dataclass(frozen=True)
class Row:
    """One row: its day and place, its cells as text by column, and the count that they mean."""

    on: date
    lat: float
    lon: float
    cells: tuple[tuple[str, str], ...]
    seen: Seen | None
    pressure: str | None
    note: str
    observer: str

    def __repr__(self) -> str:
        return f"<{self.on} {self.lat!r} {self.lon!r} {dict(self.cells)}>"


def _tally(plants: Sequence[int]) -> tuple[dict[str, str], Seen]:
    names = ("v", "r1", "r2", "r3", "r4", "r5")
    cells = {name: str(count) for name, count in zip(names, plants, strict=True) if count}
    return cells, Tally(tuple(plants))


TALLIES = (
    st.lists(st.sampled_from([0, 0, 1, 3, 20, 100]), min_size=6, max_size=6)
    .filter(lambda plants: 0 < sum(plants) <= 200)
    .map(_tally)
)
SHARES = st.tuples(st.sampled_from(_STAGES), st.integers(0, 100), st.integers(0, 100)).filter(
    lambda drawn: drawn[1] + drawn[2] > 0
).map(
    lambda drawn: (
        {"stage": drawn[0], "k": str(drawn[1]), "n": str(drawn[1] + drawn[2])},
        AtOrPast(drawn[0], drawn[1], drawn[1] + drawn[2]),
    )
)  # fmt: skip
PODS = st.sampled_from([0.0, 0.5, 3.0, 5.0, 12.25, 60.0]).map(
    lambda length: ({"pod_mm": f"{length:g}"}, PodLength(length))
)
NOTED = st.sampled_from(_STAGES).map(lambda stage: ({"stage": stage}, StagedNote(stage)))
NOTHING = st.just(({}, None))
COUNTS = st.one_of(TALLIES, SHARES, PODS, NOTED, NOTHING)
NOTES = st.text(_ODD, max_size=12).map(str.strip).map(lambda text: " ".join(text.split()))


def _is_text(text: str) -> bool:
    """Whether a cell is text and not one of the signs for nothing."""
    return text.lower() not in ("", "-", "na", "n/a", "null", "none")


@st.composite
def any_row(draw: st.DrawFn, bounds: tuple[float, float, float, float], *, plain: bool = False) -> Row:
    """Draw one row within west, south, east, north; `plain` as a waypoint can say it."""
    west, south, east, north = bounds
    count, seen = draw(TALLIES if plain else COUNTS)
    pressure = None if plain else draw(st.sampled_from([None, "low", "medium", "high", "seen"]))
    note = draw(st.sampled_from(["wet corner", "", "hail"]) if plain else NOTES)
    observer = "" if plain else draw(st.sampled_from(["", "Ada", "Ø. Nøkk", "=cmd"]))
    cells = dict(count)
    if pressure:
        cells["pressure"] = pressure
    for name, text in (("note", note), ("observer", observer)):
        if _is_text(text):
            cells[name] = text
    return Row(
        on=draw(st.dates(FIRST, LAST)),
        lat=round(draw(st.floats(south, north)), draw(st.integers(7, 12))),
        lon=round(draw(st.floats(west, east)), draw(st.integers(7, 12))),
        cells=tuple(cells.items()),
        seen=seen,
        pressure=pressure,
        note=note if _is_text(note) else "",
        observer=observer,
    )


# -- written -----------------------------------------------------------------------------------------------


def as_csv(rows: Sequence[Row], separator: str = ",", end: str = "\n", coding: str = "utf-8") -> bytes:
    """Write a table; where ";" separates the cells a comma is the decimal point."""
    names = ["Date", "LAT", "Longitude", *dict.fromkeys(name for row in rows for name, _ in row.cells)]
    text = io.StringIO()
    made = csv.writer(text, delimiter=separator, lineterminator=end)
    made.writerow(names)
    for row in rows:
        place = [repr(row.lat), repr(row.lon)]
        cells = dict(row.cells)
        if separator == ";":
            place = [one.replace(".", ",") for one in place]
            cells |= {name: cells[name].replace(".", ",") for name in ("pod_mm",) if name in cells}
        made.writerow([row.on.isoformat(), *place, *(cells.get(name, "") for name in names[3:])])
    return text.getvalue().encode(coding)


def as_geojson(rows: Sequence[Row]) -> bytes:
    """Write a collection of points; whole numbers as numbers, as programs do."""
    features = [
        {
            "type": "Feature",
            "properties": {"date": row.on.isoformat()}
            | {name: int(text) if text.isdecimal() and text.isascii() and name != "note" else text
               for name, text in row.cells},
            "geometry": {"type": "Point", "coordinates": [row.lon, row.lat]},
        }
        for row in rows
    ]  # fmt: skip
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def as_gpx(rows: Sequence[Row]) -> bytes:
    """Write waypoints: counts as "r2=12 r3=8", the note beside."""
    points = []
    for row in rows:
        counts = " ".join(f"{name}={text}" for name, text in row.cells if name != "note")
        points.append(
            f'<wpt lat="{row.lat!r}" lon="{row.lon!r}"><time>{row.on.isoformat()}T12:00:00</time>'
            f"<cmt>{escape(counts)}</cmt><desc>{escape(row.note)}</desc></wpt>"
        )
    body = "\n".join(points)
    return f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">\n{body}\n</gpx>\n'.encode()
