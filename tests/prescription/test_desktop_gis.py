"""Outputs opened in a real desktop GIS, run headless, exactly as a double click opens them.

The library belongs to the system's Python and not to ours: it is looked for, and without it nothing here is
tried.
"""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from functools import cache
from pathlib import Path

import pytest
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field, with_scouting
from made_strips import with_strips

from zoning import colours
from zoning.prescription.formats import write_all

SCRIPT = Path(__file__).parents[1] / "made" / "open_in_desktop_gis.py"
PREFIX = str(Path(sys.prefix).resolve())
PASSES = {1: 1, 3: 1, 4: 2}


def clean(runtime):
    """Environment without our Python, and without a screen."""
    own = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV", "PROJ_LIB", "PROJ_DATA", "GDAL_DATA")
    kept = {name: value for name, value in os.environ.items() if name not in own}
    places = [place for place in kept["PATH"].split(os.pathsep) if not place.startswith(PREFIX)]
    more = {"PATH": os.pathsep.join(places), "QT_QPA_PLATFORM": "offscreen", "XDG_RUNTIME_DIR": str(runtime)}
    return {**kept, **more, "HOME": str(runtime)}


@cache
def system_python():
    """A Python with the library of a desktop GIS, None where there is none."""
    for candidate in ("/usr/bin/python3", shutil.which("python3", path=clean("/")["PATH"])):
        if candidate is None or not Path(candidate).exists():
            continue
        tried = subprocess.run(
            [candidate, "-c", "import qgis.core"], env=clean("/"), capture_output=True, check=False
        )
        if tried.returncode == 0:
            return candidate
    return None


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    found = tmp_path_factory.mktemp("gis")
    found.chmod(0o700)
    return found


def plan_of(**wanted):
    labels, blocks = smooth_field(3)
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, pass_of_zone=PASSES, cell_m=10, **wanted))
    plan = with_scouting(plan, counted=[1, 4], low=[2])
    return with_no_spray(plan, {5: "setback", 6: "dead ground"}) if not wanted else plan


def asked_for(folder):
    """Every output of a folder that a desktop GIS opens."""
    vectors, sld = {}, {}
    for path in (folder / "zones.gpkg", *sorted(folder.glob("passes/*/*.gpkg"))):
        with closing(sqlite3.connect(path)) as base:
            for layer, text in base.execute("SELECT f_table_name, styleSLD FROM layer_styles"):
                name = f"{path.stem}:{layer}"
                vectors[name] = f"{path}|layername={layer}"
                style = folder.parent / f"{folder.name}_{name.replace(':', '_')}.sld"
                style.write_text(text, encoding="utf-8")
                sld[name] = [vectors[name], str(style)]
    if (folder / "prescription.shp").exists():
        vectors["prescription"] = str(folder / "prescription.shp")
        sld["prescription"] = [vectors["prescription"], str(folder / "prescription.sld")]
    rasters = {path.stem: str(path) for path in folder.glob("rasters/*.tif")}
    return {"vectors": vectors, "rasters": rasters, "sld": sld, "pictures": {}}


def opened(plan, place, name, pictures=None):
    python = system_python()
    if python is None:
        pytest.skip("no Python with the library of a desktop GIS on this machine")
    folder = place / name
    folder.mkdir()
    write_all(plan, folder)
    asked = asked_for(folder)
    asked["pictures"] = {str(place / f"{name}_{key}.png"): value for key, value in (pictures or {}).items()}
    done = subprocess.run(
        [python, str(SCRIPT)],
        input=json.dumps(asked),
        env=clean(place),
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


@pytest.fixture(scope="module")
def seen(place):
    every = ["zones:scouting", "zones:boundary", "zones:setbacks", "zones:dead_ground", "zones:zones"]
    return opened(plan_of(), place, "full", {"shp": ["prescription"], "gpkg": every})


def inked(colour):
    return ",".join(map(str, (*bytes.fromhex(colour.removeprefix("#")), 255)))


LEAST, MOST, SKIP, NEVER = map(
    inked, (colours.SPRAY_LEAST, colours.SPRAY_MOST, colours.SKIP, colours.NO_SPRAY)
)


def test_every_layer_opens_valid_and_styled(seen):
    assert set(seen["vectors"]) == {
        *(f"zones:{name}" for name in ("zones", "passes", "scouting", "setbacks", "dead_ground", "boundary")),
        *("P1_0706:prescription", "P2_0714:prescription", "prescription"),
    }
    for name, layer in seen["vectors"].items():
        assert layer["valid"], name
        assert layer["srs"] == "EPSG:4326"
        assert layer["features"] > 0
        single = name in ("zones:setbacks", "zones:dead_ground", "zones:boundary")
        assert layer["renderer"] == ("singleSymbol" if single else "categorizedSymbol"), name
        assert all(fill is not None for fill in layer["drawn"]), f"{name}: a row without a look"


def test_zones_have_the_colours_and_labels_of_the_map(seen):
    zones = seen["vectors"]["zones:zones"]
    # 15 gal/ac in pass 1 (zones 1 and 3), 20 in pass 2 (zone 4), zone 2 skipped; the larger rate is darker
    assert zones["drawn"] == [LEAST, SKIP, LEAST, MOST]
    assert [label for _, label, _ in zones["cases"]] == ["spray, 20 gal/ac", "spray, 15 gal/ac", "skip"]
    assert zones["label_error"] == ""
    assert zones["labels"] == ["1\n15 gal/ac", "2\nskip", "3\n15 gal/ac", "4\n20 gal/ac"]


@pytest.mark.parametrize("name", ["zones:zones", "prescription", "P1_0706:prescription"])
def test_skip_is_hatched_and_spray_is_not(seen, name):
    for _, label, layers in seen["vectors"][name]["cases"]:
        hatches = [layer["style"] for layer in layers]
        if label in ("skip", "boom off"):
            assert hatches == ["solid", "b_diagonal"]
            assert layers[0]["color"] == SKIP
            assert layers[1]["color"] == inked(colours.SKIP_HATCH)
        elif "gal/ac" in label:
            assert hatches == ["solid"]
        else:
            assert hatches == ["solid", "diagonal_x"]
            assert layers[0]["color"] == NEVER


def test_prescription_opens_with_its_style_beside(seen):
    rows = seen["vectors"]["prescription"]
    legend = [label for _, label, _ in rows["cases"]]
    assert legend == ["spray, 20 gal/ac", "spray, 15 gal/ac", "skip", "setbacks", "dead ground"]
    assert set(rows["drawn"]) == {LEAST, MOST, SKIP, NEVER}
    assert set(rows["labels"]) == {
        "1\n15 gal/ac",
        "2\nskip",
        "3\n15 gal/ac",
        "4\n20 gal/ac",
        "setback",
        "dead",
    }


def test_a_pass_has_its_own_rate_and_where_the_boom_is_off(seen):
    for name, rate, fill in (("P1_0706", "15 gal/ac", LEAST), ("P2_0714", "20 gal/ac", MOST)):
        rows = seen["vectors"][f"{name}:prescription"]
        assert rows["attr"] == "rate_gal_ac"
        assert [label for _, label, _ in rows["cases"]] == [rate, "boom off"]
        assert set(rows["drawn"]) == {fill, SKIP}


def test_the_open_style_says_the_same(seen):
    assert set(seen["sld"]) == set(seen["vectors"])
    for name, layer in seen["sld"].items():
        own = seen["vectors"][name]
        assert layer["loaded"], name
        if name == "zones:boundary":  # read as a line, which is what it is
            assert layer["cases"][0][2][0]["kind"] == "SimpleLine"
            continue
        assert layer["drawn"] == own["drawn"], name
        if layer["renderer"] == "RuleRenderer":
            assert [label for _, label, _ in layer["cases"]] == [label for _, label, _ in own["cases"]]
        for (_, _, theirs), (_, _, ours) in zip(layer["cases"], own["cases"], strict=True):
            assert len(theirs) == len(ours)  # a hatch is a second layer in both
            assert theirs[-1]["color"] == ours[-1]["color"]
            assert (theirs[-1]["style"] == "solid") == (ours[-1]["style"] == "solid")


def test_rasters_open_coloured(seen):
    zone, day, net = (seen["rasters"][name] for name in ("zone", "r3_day", "net_return"))
    assert {one["srs"] for one in (zone, day, net)} == {"EPSG:32615"}
    assert all(one["valid"] for one in (zone, day, net))
    assert (zone["renderer"], day["renderer"], net["renderer"]) == (
        *("paletted", "paletted", "singlebandpseudocolor"),
    )
    assert [(value, colour) for value, colour, _ in zone["classes"]] == list(
        zip([1, 2, 3, 4], colours.ZONES, strict=False)
    )
    # blocks A and B reach R3 on July 8 and 17, 2026: days 31 + 28 + 31 + 30 + 31 + 30 + 8 and + 17
    assert [(value, label) for value, _, label in day["classes"]] == [
        (189, "R3 likely begins Jul 8"),
        (198, "R3 likely begins Jul 17"),
    ]
    assert [colour for _, colour, _ in net["classes"]] == list(colours.NET)
    values = [value for value, _, _ in net["classes"]]
    assert values == [-value for value in reversed(values)]
    assert values[4] == 0
    assert (zone["nodata"], day["nodata"], net["nodata"]) == (0, 0, -9999)


def test_metric_plans_of_one_rate_and_plans_without_decisions(place):
    labels, blocks = smooth_field(5, blocks=2)
    one = made_plan(
        Made(labels=labels, block_of_zone=blocks, pass_of_zone={1: 1, 3: 1}, cell_m=10, units="metric")
    )
    seen = opened(one, place, "metric")
    zones = seen["vectors"]["zones:zones"]
    assert zones["attr"] == "action"
    assert [value for value, _, _ in zones["cases"]] == ["spray", "skip"]
    assert zones["drawn"] == [MOST, SKIP, MOST, SKIP]
    # 15 gal/ac = 140.309 L/ha (handbook: 140.30934)
    assert zones["labels"][0] == "1\n140.3 L/ha"
    assert seen["vectors"]["P1_0706:prescription"]["attr"] == "rate_l_ha"
    assert set(seen["vectors"]["P1_0706:prescription"]["drawn"]) == {MOST, SKIP}
    bare = opened(plan_of(level=1), place, "bare")
    zones = bare["vectors"]["zones:zones"]
    assert zones["attr"] == "zone"
    assert zones["drawn"] == [inked(colour) for colour in colours.ZONES]
    assert set(bare["rasters"]) == {"zone", "r3_day"}
    assert "prescription" not in bare["vectors"]


def test_check_strips_stand_out_and_show_what_is_done_there(place):
    # zones 1 and 2 are sprayed at 15 and 20 gal/ac, zone 3 is skipped; one pair over all of them
    labels = [[1] * 8, [1] * 8, [2] * 8, [2] * 8, [3] * 8, [3] * 8]
    made = Made(labels=labels, pass_of_zone={1: 1, 2: 2})
    over = ["zones:check_strips", "zones:boundary", "zones:zones"]
    pictures = {"shp": ["prescription"], "over": over}
    seen = opened(with_strips(made, {1: ([2], [3])}), place, "strips", pictures)
    drawn = next(texts for path, texts in seen["pictures"].items() if path.endswith("_over.png"))
    assert drawn.count("S1") == 6, "the zones under the strips leave their labels room"
    assert {text[0] for text in drawn} == {"S", "1", "2", "3"}
    strips = seen["vectors"]["zones:check_strips"]
    assert strips["attr"] == "treatment"
    assert {value for value, _, _ in strips["cases"]} == {"treated", "untreated"}
    assert set(strips["drawn"]) == {MOST, SKIP}
    rows = seen["vectors"]["prescription"]
    assert len({value for value, _, _ in rows["cases"]}) == len(rows["cases"])
    assert None not in rows["drawn"]
    edges = {label: layers[-1]["outline_color"] for _, label, layers in rows["cases"]}
    bold = {label for label, edge in edges.items() if label.startswith("check strip")}
    assert bold == {
        "check strip, treated: spray, 20 gal/ac",
        "check strip, treated: spray, 15 gal/ac",
        "check strip, left untreated",
    }
    assert edges["check strip, left untreated"] == inked(colours.INK)
