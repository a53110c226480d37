"""A farm of fields without weather, and how it is asked for quickly: no waits, short times, all counted."""

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from made_weather_service import LATITUDE_DEG, LONGITUDE_DEG, Double

from zoning.errors import InputError
from zoning.fetch.session import Bounds, Session
from zoning.fetch.weather.got import Got, Wish, get

TODAY = date(2026, 7, 8)
FIELD = 'name = "{name}"\nmaturity_group = 1.9\n\n[planting]\ndate = 2026-05-06\n'
QUICK = replace(Bounds.usual(), silent_s=10.0, whole_s=20.0)  # ample on a loaded machine


def boundary(folder: Path, longitude_deg: float = LONGITUDE_DEG, latitude_deg: float = LATITUDE_DEG) -> None:
    """Draw a field of a hundredth of a degree, with its middle there."""
    west, east = longitude_deg - 0.005, longitude_deg + 0.005
    south, north = latitude_deg - 0.005, latitude_deg + 0.005
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    shape = {"type": "Polygon", "coordinates": [ring]}
    (folder / "boundary.geojson").write_text(json.dumps(shape), encoding="utf-8")


def farm(root: Path, *, settings: str = 'name = "Some Farm"\n', fields: Sequence[str] = ("north",)) -> Path:
    """Make a farm; its fields lie a fiftieth of a degree apart, from south to north."""
    folder = root / "farm"
    folder.mkdir(parents=True)
    (folder / "farm.toml").write_text(settings, encoding="utf-8")
    for at, name in enumerate(fields):
        lone_field(folder / name, latitude_deg=LATITUDE_DEG + 0.02 * at)
    return folder


def lone_field(
    folder: Path, latitude_deg: float = LATITUDE_DEG, longitude_deg: float = LONGITUDE_DEG
) -> Path:
    """Make a field with boundary and planting date, and nothing else."""
    folder.mkdir(parents=True)
    (folder / "field.toml").write_text(FIELD.format(name=folder.name.title()), encoding="utf-8")
    boundary(folder, longitude_deg, latitude_deg)
    return folder


def asked(
    folder: Path, double: Double, *, clock: date = TODAY, today: date | None = None, **wish: object
) -> Got:
    """Get the weather from the double, which waits for nothing."""
    table = folder.parent / "made_services.toml"
    if not table.exists():
        double.table(folder.parent)
    return get(
        folder,
        Wish(services=table, **wish),
        today=today,
        clock=clock,
        tell=lambda _step: None,
        open_session=lambda most: Session(most, bounds=QUICK, wait=lambda _s: None),
    )


def rows(path: Path) -> dict[str, list[str]]:
    """The rows of a file by their first cell; the header has its own name."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return {line.split(",")[0]: line.split(",")[1:] for line in lines}


def everything(folder: Path) -> dict[str, bytes]:
    """Every file below a folder but what is kept of answers, by name."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".fetched" not in path.parts
    }


def refused(code, *args, **more):
    """Give the one fault of one line with which asking ends."""
    with pytest.raises(InputError) as caught:
        asked(*args, **more)
    assert caught.value.code == code
    assert len(caught.value.faults) == 1
    assert "\n" not in str(caught.value)
    return caught.value


def codes(got):
    """Codes of what is said."""
    return [said.code for said in got.notes]


def years(double):
    """The years that were asked for, in order."""
    return [int(path.split("start=")[1][:4]) for path in double.asked if "start=" in path]


def answers(folder):
    """Answers that were kept."""
    return sorted(path for path in folder.rglob("*.answer"))
