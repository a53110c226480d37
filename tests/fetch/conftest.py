"""A field without images and a catalogue of invented scenes on loopback, for the tests of this folder."""

from datetime import date

import pytest
from made_catalogue import TILE, Catalogue, field_folder, served

from zoning.fetch.imagery import got


@pytest.fixture
def made(tmp_path):
    with served(Catalogue(folder=tmp_path / "files")) as catalogue:
        yield catalogue


@pytest.fixture
def field(tmp_path):
    """65 ha in the middle of the tile, on no edge of its pixels."""
    return field_folder(tmp_path / "field", TILE.west_m + 803.0, TILE.north_m - 807.0)


@pytest.fixture
def get(made, field):
    """Ask the catalogue for June, unless told otherwise."""

    def ask(folder=field, **more):
        words = {"first": date(2026, 6, 1), "last": date(2026, 6, 30), "catalog": made.address, **more}
        return got.imagery(folder, got.Asked(**words), date(2026, 7, 2), lambda _: None)

    return ask


@pytest.fixture(autouse=True)
def impatient(monkeypatch):
    """Try again at once, and twice; `impatient(3)` also takes an answer for none after 3 s."""
    from zoning import evidence
    from zoning.fetch.imagery import pixels, stac

    own = {"fetch.wait_s": 0.01, "fetch.tries_more": 2}

    def number(name):
        return own.get(name, evidence.number(name))

    monkeypatch.setattr(pixels, "number", number)
    monkeypatch.setattr(stac, "number", number)

    def set_to(within_s):
        own["fetch.answer_within_s"] = within_s
        own["fetch.tries_more"] = 1

    return set_to
