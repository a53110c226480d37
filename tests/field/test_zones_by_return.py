"""How many zones a block gets in a whole run: the fewest that keep what could be had."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import rasterio
import rasterio.features
import shapely
from made_demo import TODAY, three_dates
from pyproj import Transformer

from zoning import field
from zoning.evidence import number
from zoning.offers import divided
from zoning.returns.price import price
from zoning.settings.read import load

ENOUGH = number("passes.kept_least_frac")


@pytest.fixture
def folder(tmp_path) -> Path:
    """The demo field without a scout's points: what differs is the yield map alone."""
    field_folder = three_dates(tmp_path)
    settings = field_folder / "field.toml"
    settings.write_text(settings.read_text().split("[[scouting]]")[0])
    wanted = field_folder.parent / "farm.toml"
    wanted.write_text(wanted.read_text().replace('"pooled trials"', '"practice series"'))
    return field_folder


def planned(folder: Path, **changed: str):
    settings = folder / "field.toml"
    text = settings.read_text()
    for key, value in changed.items():
        text = text.replace("[zones]\n", f'[zones]\n{key} = "{value}"\n')
    settings.write_text(text)
    try:
        return field.run(folder, today=TODAY, seed=3, measured_by=lambda *_, **__: lambda: None).plan
    finally:
        settings.write_text(
            text.replace("".join(f'{key} = "{value}"\n' for key, value in changed.items()), "")
        )


def lower_yield(folder: Path, outline, bu_ac: float) -> None:
    """Write a yield into the map on the ground of an outline in EPSG:4326."""
    path = folder / "layers" / "past_yield.tif"
    with rasterio.open(path) as source:
        values, profile = source.read(1), source.profile
    project = Transformer.from_crs(4326, profile["crs"], always_xy=True).transform
    there = shapely.transform(outline, project, interleaved=False)
    mask = rasterio.features.geometry_mask([there], values.shape, profile["transform"], invert=True)
    values[mask] = round(bu_ac / 0.1)
    with rasterio.open(path, "w", **profile) as target:
        target.write(values, 1)


def counts(plan) -> dict[str, int]:
    return {one.block: one.zones for one in plan.blocks}


def test_ground_that_returns_alike_is_one_zone_a_block(folder):
    plan = planned(folder)
    assert counts(plan) == {"A": 1, "B": 1, "C": 1}
    by_layers = planned(folder, divide_by="layers")
    assert counts(by_layers) == {one.block: one.supported for one in plan.blocks}
    assert sum(counts(by_layers).values()) > 3
    assert all(one.kept == () for one in by_layers.blocks)
    assert [note.code for note in plan.notes].count("offers.fewer_zones") == 3


def test_poor_ground_is_a_zone_of_its_own_where_it_changes_the_decision(folder):
    whole = planned(folder, divide_by="layers")
    poor = next(zone for zone in whole.zones if zone.block == "A" and zone.area_ac > 5)
    lower_yield(folder, poor.outline, 10.0)
    plan = planned(folder)
    (block,) = [one for one in plan.blocks if one.block == "A"]
    kept = dict(block.kept)
    assert block.zones > 1
    assert kept[1] < ENOUGH <= kept[block.zones]
    assert {zone.action for zone in plan.zones if zone.block == "A"} == {"spray", "skip"}
    skipped = next(zone for zone in plan.zones if zone.block == "A" and zone.action == "skip")
    assert skipped.outline.intersection(poor.outline).area > 0.9 * poor.outline.area


def test_without_money_the_layers_decide(folder):
    for name in ("money", "response", "product"):
        path = folder.parent / "farm.toml"
        text = path.read_text()
        start = text.index(f"[{name}]")
        end = text.find("\n[", start + 1)
        path.write_text(text[:start] + (text[end + 1 :] if end > 0 else ""))
    plan = planned(folder)
    assert plan.level == 1
    assert all(one.zones == one.supported and one.kept == () for one in plan.blocks)


def test_what_is_kept_equals_pricing_every_cell_by_itself(folder, monkeypatch):
    # independent sum: each cell priced alone at its own yield and canopy, no kinds, no bins
    whole = planned(folder, divide_by="layers")
    poor = next(zone for zone in whole.zones if zone.block == "A" and zone.area_ac > 5)
    lower_yield(folder, poor.outline, 14.0)
    asked = {}

    def spy(of_blocks, stages, basis, today):
        asked.update(of_blocks=of_blocks, stages=stages, basis=basis)
        return by_returns(of_blocks, stages, basis, today)

    by_returns = divided.by_returns
    monkeypatch.setattr(divided, "by_returns", spy)
    plan = planned(folder)
    basis, one, stage = asked["basis"], asked["of_blocks"][0], asked["stages"][0]
    block = divided._Block(of=one, stage=stage, basis=basis)
    elsewhere = load(folder).expected_yield_bu_ac
    even = block.place(None, np.zeros(basis.given.grid.shape, dtype=bool), elsewhere)
    canopy_sd = basis.contrast.canopy_sd[one.window][block.inside]
    assert even.canopy_sd == 0 < canopy_sd.std()
    yields = basis.given.yield_bu_ac[one.window][block.inside]
    yields = np.where(np.isnan(yields), elsewhere, yields)
    days = np.arange(TODAY.toordinal(), TODAY.toordinal() + 29)
    volumes, terms = divided.rigged.volumes_and_terms(basis)
    kinds = [
        (replace(even, canopy_sd=float(by_sd), expected_yield_bu_ac=float(one_bu)), float(one_bu))
        for by_sd, one_bu in zip(canopy_sd, yields, strict=True)
    ]
    cells = price([block.case(kind) for kind in kinds], days, volumes, terms)
    net = np.nan_to_num(cells.net_usd_ac).reshape(len(yields), -1)
    best = np.where(cells.passes_rule, cells.net_usd_ac, 0).reshape(len(yields), -1).max(axis=1)
    for division, (_, kept) in zip(one.divisions, plan.blocks[0].kept, strict=True):
        label = division.labels[block.inside]
        total = 0.0
        for zone, kind in enumerate(block.zone_kinds(division)):
            priced = price([block.case(kind)], days, volumes, terms)
            allowed = np.where(priced.passes_rule[0], priced.net_usd_ac[0], -np.inf).ravel()
            if np.isfinite(allowed.max()):
                total += net[label == zone, allowed.argmax()].sum()
        assert kept == pytest.approx(total / best.sum(), abs=0.01)
