"""`sprayworth strips` through its entry point: what is printed, and what is refused in one line."""

import json
import shutil
from pathlib import Path

import pytest
from made_harvested import FIELD, copied_farm, with_plan

from cli.main import main


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Path:
    return copied_farm(tmp_path_factory.mktemp("farm"))


@pytest.fixture
def farm(kept, tmp_path) -> Path:
    copy = tmp_path / kept.name
    shutil.copytree(kept, copy)
    return copy


def call(capsys, *arguments):
    with pytest.raises(SystemExit) as end:
        main(["strips", *(str(one) for one in arguments)])
    said = capsys.readouterr()
    return end.value.code, said.out, said.err


def refused(capsys, *arguments) -> tuple[int, list[str]]:
    code, out, err = call(capsys, *arguments, "--quiet")
    assert not out
    return code, err.strip().splitlines()


def test_the_answer_comes_first_and_fits_a_screen_or_two(farm, capsys):
    code, out, err = call(capsys, farm / FIELD)
    assert code == 0
    lines = out.splitlines()
    assert any(word in lines[0] for word in ("paid", "pay"))
    assert len(lines) < 70
    assert max(map(len, lines)) <= 120
    assert "written:" in err
    assert (farm / FIELD / "strips" / "2026" / "trial.html").is_file()


def test_json_is_one_object_and_the_files_are_named(farm, capsys):
    code, out, _ = call(capsys, farm / FIELD, "--json")
    whole = json.loads(out)
    assert code == 0
    assert whole == json.loads((farm / FIELD / "strips" / "2026" / "trial.json").read_text(encoding="utf-8"))
    assert whole["response"]["pairs"] == 4


def test_a_farm_tells_of_all_its_seasons(farm, capsys):
    call(capsys, farm / FIELD, "--quiet")
    code, out, _ = call(capsys, farm)
    assert code == 0
    assert all(str(year) in out for year in (2024, 2025, 2026))
    code, out, _ = call(capsys, farm, "--json")
    whole = json.loads(out)
    assert {one["season"] for one in whole["trials"]} == {2024, 2025, 2026}
    page = Path(__file__).parents[2] / "docs" / "reference" / "trial_files.md"
    told = page.read_text(encoding="utf-8").split("## What strips prints of a farm")[1]
    assert all(f"`{key}`" in told for key in whole)


def test_without_a_record_of_spraying_nothing_is_judged(farm, capsys):
    (farm / "done.csv").unlink()
    code, lines = refused(capsys, farm / FIELD)
    assert code == 3
    assert len(lines) == 1
    assert "sprayed" in lines[0]
    assert "sprayworth done" in lines[0]
    assert not (farm / FIELD / "strips" / "2026").exists()


def test_without_a_file_of_points_one_line_says_where_to_put_it(farm, capsys):
    shutil.rmtree(farm / FIELD / "harvest")
    code, lines = refused(capsys, farm / FIELD)
    assert code == 2
    assert len(lines) == 1
    assert "harvest" in lines[0]


@pytest.mark.parametrize(
    ("option", "word"),
    [
        ("--column=yeild=Y", "yield"),
        ("--column=flow", "flow"),
        ("--unit=flow=stone/s", "stone/s"),
        ("--column=moisture=wet_lb_s", "is named for flow and moisture"),
    ],
)
def test_a_wrong_option_is_named_before_work(farm, capsys, option, word):
    code, lines = refused(capsys, farm / FIELD, option)
    assert code == 2
    assert len(lines) == 1
    assert word in lines[0]


def test_the_points_of_another_field_are_refused(farm, capsys):
    path = farm / FIELD / "harvest" / "yield.csv"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("-97.", "-96."), encoding="utf-8")
    code, lines = refused(capsys, farm / FIELD)
    assert code == 3
    assert len(lines) == 1


def test_yields_in_a_wrong_unit_are_caught(farm, capsys):
    code, lines = refused(capsys, farm / FIELD, "--unit", "flow=kg/s")
    assert code == 3
    assert "lb/s" in lines[0]


def test_a_harvest_before_the_pass_is_refused(farm, capsys):
    done = farm / "done.csv"
    done.write_text(done.read_text(encoding="utf-8").replace("2026-07-28", "2026-10-09"), encoding="utf-8")
    code, lines = refused(capsys, farm / FIELD)
    assert code == 3
    assert "2026-10-0" in lines[0]


def test_a_harvest_far_from_what_is_expected_is_doubted(farm, capsys):
    path = farm / FIELD / "field.toml"
    text = path.read_text(encoding="utf-8")
    assert "expected_yield" in text
    lines = ['expected_yield = "30 bu/ac"' if "expected_yield" in one else one for one in text.splitlines()]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    code, out, _ = call(capsys, farm / FIELD, "--json", "--quiet")
    assert code == 0
    assert "harvest.far_from_expected" in [one["code"] for one in json.loads(out)["notes"]]


def test_a_field_sprayed_all_over_has_no_pair_and_says_so(farm, capsys):
    swept = {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "properties": {"rate_gpa": 15.0},
                "geometry": json.loads((farm / FIELD / "boundary.geojson").read_text(encoding="utf-8"))[
                    "features"
                ][0]["geometry"],
            }
        ],
    }
    path = farm / "rig.geojson"
    path.write_text(json.dumps(swept), encoding="utf-8")
    before = (farm / "learned.toml").read_bytes()
    code, out, _ = call(capsys, farm / FIELD, "--applied", path, "--json", "--quiet")
    whole = json.loads(out)
    assert code == 0
    assert whole["response"] is None
    assert all(one["why_not"] for one in whole["pairs"])
    assert (farm / "learned.toml").read_bytes() == before
    (farm / "learned.toml").unlink()
    call(capsys, farm / FIELD, "--applied", path, "--quiet")
    assert not (farm / "learned.toml").exists()


def test_weather_may_end_before_harvest(farm, capsys):
    path = farm / "weather.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("2026-09", "2026-10"))]
    assert len(kept) < len(lines)
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    code, out, _ = call(capsys, farm / FIELD, "--json", "--quiet", "--today", "2026-11-15")
    assert code == 0
    assert json.loads(out)["response"]["pairs"] == 4


def test_who_drew_strips_says_nothing_of_the_ground_beside_them(farm, capsys):
    (farm / "done.csv").unlink()
    design = json.loads((farm / FIELD / "strips" / "design.geojson").read_text(encoding="utf-8"))
    drawn = {"type": "FeatureCollection", "features": design["features"]}
    path = farm / "drawn.geojson"
    path.write_text(json.dumps(drawn), encoding="utf-8")
    with_plan(farm)
    code, out, _ = call(capsys, farm / FIELD, "--strips", path, "--json", "--quiet")
    whole = json.loads(out)
    assert code == 0
    assert whole["sprayed_from"] == "drawn"
    assert [one["sprayed_frac"] for one in whole["judged"]] == [None, None]
    assert all("was to be" in one["text"] for one in whole["judged"])
    this = [row for row in whole["season_book"]["rows"] if row["season"] == 2026]
    assert [row["sprayed"] for row in this] == [None, None]
