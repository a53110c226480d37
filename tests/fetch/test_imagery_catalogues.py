"""Whom `get imagery` asks: the table, its passports, and what the settings say."""

import re
from pathlib import Path

import pytest

from zoning.evidence import KINDS
from zoning.fetch.imagery import catalogues
from zoning.settings.read import load

PAGE = (Path(__file__).parents[2] / "docs/reference/getting.md").read_text(encoding="utf-8")


def test_each_catalogue_has_a_passport_and_stands_on_the_page():
    on_page = re.findall(r"^\| `([\w-]+)` \| `(https://\S+)` \| `(\S+)` \| ([\w ]+) \|$", PAGE, re.MULTILINE)
    told = [
        (name, one["address"], one["collection"], one["kind"]) for name, one in catalogues.table().items()
    ]
    assert on_page == told
    assert all(one["kind"] in KINDS for one in catalogues.table().values())


def test_an_entry_without_a_passport_is_found(monkeypatch):
    monkeypatch.setattr(catalogues, "KINDS", ())
    catalogues.table.cache_clear()
    with pytest.raises(ValueError, match="earth-search has no passport"):
        catalogues.table()
    monkeypatch.undo()
    catalogues.table.cache_clear()
    assert catalogues.table()


def test_the_option_goes_before_the_settings_and_these_before_the_table(field):
    path, typed = field / "field.toml", (field / "field.toml").read_text(encoding="utf-8")
    first = catalogues.of(load(field))
    assert (first.name, first.collection) == ("earth-search", "sentinel-2-l2a")
    path.write_text(f'{typed}[get]\ncatalog = "planetary-computer"\ncollection = "own"\n', encoding="utf-8")
    second = catalogues.of(load(field))
    assert (second.name, second.collection) == ("planetary-computer", "own")
    assert second.address == catalogues.table()["planetary-computer"]["address"]
    third = catalogues.of(load(field), "https://stac.example.org/v1/", "other")
    assert (third.name, third.address) == ("stac.example.org", "https://stac.example.org/v1")
    assert third.collection == "other"
