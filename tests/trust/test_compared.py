"""What the comparison of two results calls a difference; one that sees nothing would prove nothing."""

import json
from pathlib import Path

import numpy as np
import pytest
import rasterio
from compared import differences

PLAN = {
    "zones": [{"action": "spray", "pass": 1, "net_usd_ac": {"mean": 16.072812}, "provisional": True}],
    "zoning": {"blocks": [{"held_out_explained": [{"frac": 0.5379}]}]},
    "area_ac": 119.0,
}


def put(farm: Path, plan: object, name: str = "plan.json") -> Path:
    out = farm / "field" / "out"
    out.mkdir(parents=True, exist_ok=True)
    (out / name).write_text(json.dumps(plan))
    return farm


def changed(**new):
    plan = json.loads(json.dumps(PLAN))
    for key, value in new.items():
        at = {"frac": plan["zoning"]["blocks"][0]["held_out_explained"][0]}.get(key, plan["zones"][0])
        at[key] = value
    return plan


@pytest.mark.parametrize(
    ("new", "told"),
    [
        ({"action": "skip"}, "differs"),
        ({"pass": 2}, "differs"),
        ({"provisional": 1}, "differs"),  # another type
        ({"pass": None}, "differs"),
        ({"net_usd_ac": {"mean": 16.072813}}, "differs"),
        ({"net_usd_ac": {"mean": 16.072812 * (1 + 2e-9)}}, "differs"),
        ({"net_usd_ac": {"mean": 16.072812 * (1 + 5e-10)}}, "within the limit"),
        ({"net_usd_ac": {"mean": 16.072812, "p10": 1.0}}, "differs"),
        ({"frac": 0.5380}, "last digit"),
        ({"frac": 0.5381}, "differs"),
    ],
)
def test_a_figure_is_held_to_the_limit_and_a_decision_to_itself(tmp_path, new, told):
    one, other = put(tmp_path / "a", PLAN), put(tmp_path / "b", changed(**new))
    (found,) = differences(one, other)
    assert found.told == told
    assert "field/out/plan.json" in found.line()


def test_a_file_too_many_and_other_words_are_seen(tmp_path):
    one, other = put(tmp_path / "a", PLAN), put(tmp_path / "b", PLAN)
    assert differences(one, other) == []
    (one / "field" / "out" / "page.html").write_text("spray")
    (found,) = differences(one, other)
    assert (found.file, found.told) == ("field/out/page.html", "differs")
    (other / "field" / "out" / "page.html").write_text("skip")
    (found,) = differences(one, other)
    assert found.told == "differs"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("spray 79.56633867206610 ac", "within the limit"),
        ("spray 79.57 ac", "differs"),
        ("skip 79.56633867203676 ac", "differs"),
        ("spray 79.56633867203676 ac, 1.0 USD", "differs"),
    ],
)
def test_figures_between_words_are_held_to_the_limit(tmp_path, text, told):
    one, other = put(tmp_path / "a", PLAN), put(tmp_path / "b", PLAN)
    (one / "field" / "out" / "page.html").write_text("spray 79.56633867203676 ac")
    (other / "field" / "out" / "page.html").write_text(text)
    (found,) = differences(one, other)
    assert found.told == told


def test_who_made_it_is_left_out_by_name(tmp_path):
    about = {"plan_hash": "a", "files": {"x": "1"}, "version": "0.1.0", "run_id": "r", "seed": 0}
    one = put(tmp_path / "a", about, "run.json")
    other = put(tmp_path / "b", about | {"plan_hash": "b", "files": {}, "version": "0.2.0"}, "run.json")
    assert differences(one, other) == []
    put(other, about | {"run_id": "s"}, "run.json")
    assert [found.told for found in differences(one, other)] == ["differs"]


@pytest.mark.parametrize(("cell", "told"), [(3.0, "packed"), (4.0, "differs")])
def test_rasters_are_compared_by_their_cells(tmp_path, cell, told):
    for name, value, packing in (("a", 3.0, "deflate"), ("b", cell, "lzw")):
        out = tmp_path / name / "field" / "out"
        out.mkdir(parents=True)
        cells = np.full((1, 8, 8), value, dtype=np.float32)
        where = rasterio.Affine(10, 0, 0, 0, -10, 0)
        about = {"count": 1, "dtype": "float32", "crs": "EPSG:32615", "transform": where, "compress": packing}
        with rasterio.open(out / "net.tif", "w", driver="GTiff", width=8, height=8, **about) as file:
            file.write(cells)
    (found,) = differences(tmp_path / "a", tmp_path / "b")
    assert found.told == told
