"""`sprayworth scout` through its entry point: the ranking, who is kept out, and a consultant's points."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
import shapely
from made_fields import make_field

from cli.main import main
from zoning import farm as many
from zoning import scout

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
OWN = ("[money]", "[response]")


@pytest.fixture
def farm(tmp_path):
    copy = tmp_path / "heron_slough"
    shutil.copytree(DEMO, copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    return copy


@pytest.fixture
def two_fields(farm):
    """The farm with two of its fields."""
    for name in ("gravel_forty", "point_rows", "three_dates"):
        shutil.rmtree(farm / name)
    return farm


def call(capsys, *arguments):
    with pytest.raises(SystemExit) as end:
        main([str(one) for one in arguments])
    said = capsys.readouterr()
    return end.value.code, said.out, said.err


def ranked(capsys, *arguments):
    code, out, _ = call(capsys, "scout", *arguments, "--json")
    assert code == 0
    return json.loads(out)


def without_money(farm):
    """Take money and response out of farm.toml: level 1."""
    kept, section = [], ""
    for line in (farm / "farm.toml").read_text(encoding="utf-8").splitlines():
        section = line.split("]")[0] + "]" if line.startswith("[") else section
        kept += [] if section in OWN else [line]
    (farm / "farm.toml").write_text("\n".join(kept), encoding="utf-8")


def test_a_farm_is_ranked_by_what_a_count_is_worth_today(farm, capsys):
    found = ranked(capsys, farm)
    rows = found["rows"]
    zones = {
        (plan.field, zone.zone) for plan in many.run(farm, clock=date.today()).plans for zone in plan.zones
    }
    assert {(row["field"], row["zone"]) for row in rows} == zones
    assert len(rows) == len(zones)
    today = [row["value_today_usd"] for row in rows]
    assert today == sorted(today, reverse=True)
    assert all(usd >= 0 for usd in today)
    first = rows[0]
    # the one large field with disease that nobody has counted
    assert (first["field"], first["zone"]) == ("Level Eighty", 1)
    assert first["value_usd"] >= first["value_today_usd"] > found["walk_cost_usd"]
    assert first["value_usd_ac"] == pytest.approx(first["value_usd"] / first["informed_ac"])
    assert first["informs"] == [{"field": "Level Eighty", "zone": 1}]
    assert first["plants"] in (10, 20, 30, 40)
    assert "2026-07-08" <= first["day"] <= "2026-07-22"
    # ground without disease: the pass does not pay on any day, so no count is worth anything
    for row in rows:
        assert row["sd_after_d"] < row["sd_d"]
        if row["field"] == "Gravel Forty":
            assert row["value_usd"] == pytest.approx(0, abs=0.5)
            assert row["informed_ac"] == 0
    counted = [row["sd_d"] for row in rows if row["field"] == "Three Dates"]
    assert max(counted) < first["sd_d"]


def test_the_text_says_where_to_go_first_and_why(two_fields, capsys):
    code, out, err = call(capsys, "scout", two_fields)
    assert (code, err) == (0, "")
    top = " ".join(out.split("\n\n")[0].split())
    assert "Heron Slough, Jul 8, 2026" in top
    assert "first: Level Eighty, zone 1: a count of " in top
    assert "plants today gains $" in top
    for head in ("field", "zone", "block", "area", "plants", "today", "$/ac"):
        assert head in out
    assert "informs the decision on zone 1 (79.1 ac)" in out
    assert "run again" in out


def test_the_place_to_stand_lies_in_its_zone(two_fields, capsys):
    field = two_fields / "wet_corner"
    _, out, _ = call(capsys, "run", field, "--quiet", "--json")
    assert json.loads(out)["zones"]
    fiona = pytest.importorskip("fiona")
    with fiona.open(field / "out" / "zones.gpkg") as file:
        outlines = {row["properties"]["zone"]: shapely.geometry.shape(row["geometry"]) for row in file}
        assert file.crs.to_epsg() == 4326
    rows = ranked(capsys, field)["rows"]
    assert {row["zone"] for row in rows} == set(outlines)
    for row in rows:
        place = shapely.Point(row["lon"], row["lat"])
        assert outlines[row["zone"]].contains(place)
        # well inside: further from the edge than a tenth of the width of a square of that size
        metres = outlines[row["zone"]].boundary.distance(place) * 80_000
        assert metres > 0.1 * (row["area_ac"] * 4047) ** 0.5


def test_a_walk_that_costs_more_than_any_count_gains_is_advised_against(two_fields, capsys):
    code, out, _ = call(capsys, "scout", two_fields / "wet_corner", "--walk-cost", "2000 USD")
    assert code == 0
    assert "no count is worth a walk, today or on a later day: the best gains " in out
    assert "a walk costs 2000 USD" in out
    assert "first:" not in out
    assert "at -" not in out
    code, _, err = call(capsys, "scout", two_fields, "--walk-cost", "25")
    assert code == 2
    assert "--walk-cost" in err
    assert "USD" in err


def test_nobody_is_sent_into_a_sprayed_field(two_fields, capsys):
    (two_fields / "done.csv").write_text(
        "field,end,product\n"
        "Level Eighty,2026-07-08 09:00,Invented Fungicide A\n"  # 12 h: to 21:00
        "wet_corner,2026-07-02 10:00,Something Else\n",
        encoding="utf-8",
    )
    found = ranked(capsys, two_fields)
    assert {row["field"] for row in found["rows"]} == {"Level Eighty"}
    for row in found["rows"]:
        assert row["value_today_usd"] is None
        assert row["first_day"] == "2026-07-09"
        assert row["day"] >= "2026-07-09"
    said = {note["field"]: note for note in found["notes"] if note["code"].startswith("passes.walk_")}
    assert said["Level Eighty"]["code"] == "passes.walk_re_entry"
    assert said["Wet Corner"]["code"] == "passes.walk_no_interval"
    (two_fields / "done.csv").write_text("field,end,product\n,soon,A\n", encoding="utf-8")
    code, _, err = call(capsys, "scout", two_fields)
    assert code == 3
    assert "done.csv:2" in err


def test_without_money_zones_are_ranked_by_days_off_the_sd(two_fields, capsys):
    without_money(two_fields)
    found = ranked(capsys, two_fields)
    assert found["notes"][0]["code"] == "scout.no_money"
    gained = [row["sd_d"] - row["sd_after_d"] for row in found["rows"]]
    assert gained == sorted(gained, reverse=True)
    assert gained[0] > 0.5
    for row in found["rows"]:
        assert row["value_today_usd"] is row["value_usd"] is row["value_usd_ac"] is None
    _, out, _ = call(capsys, "scout", two_fields / "wet_corner")
    assert "d off the SD of R3" in out
    assert "$" not in out


def test_a_field_that_cannot_be_read_is_named_and_the_others_are_ranked(two_fields, capsys):
    (two_fields / "wet_corner" / "field.toml").write_text("name = 3\n", encoding="utf-8")
    code, out, err = call(capsys, "scout", two_fields)
    assert code == 3
    assert "wet_corner" in err
    assert "first: Level Eighty" in out


def test_points_are_added_though_another_field_is_not_filled_in_yet(two_fields, capsys, tmp_path):
    first = ranked(capsys, two_fields)["rows"][0]
    code, _, _ = call(capsys, "new", two_fields / "a_new_one", "--field")
    assert code == 0
    points = tmp_path / "consultant.csv"
    points.write_text(f"date,lat,lon,n,r1\n2026-07-08,{first['lat']},{first['lon']},20,9\n", encoding="utf-8")
    code, out, err = call(capsys, "scout", two_fields, "--add", points)
    assert code == 3
    assert "Level Eighty: 1 row added" in out
    assert [line.split(": ")[:2] for line in err.splitlines()] == [["error", "a_new_one"]] * 2
    _, out, _ = call(capsys, "scout", two_fields, "--add", points, "--json")
    assert {one["field"] for one in json.loads(out)["failures"]} == {"a_new_one"}


def test_points_are_added_once_and_each_refused_one_has_its_reason(two_fields, capsys, tmp_path):
    before = ranked(capsys, two_fields)["rows"][0]
    points = tmp_path / "consultant.csv"
    points.write_text(
        "lon,lat,n,date,k,stage\n"
        f"{before['lon']},{before['lat']},20,2026-07-08,9,R1\n"
        f"{before['lon']},{before['lat']},20,2026-07-08,30,R1\n"
        "-90.0,44.0,20,2026-07-08,3,R1\n",
        encoding="utf-8",
    )
    code, out, _ = call(capsys, "scout", two_fields, "--add", points)
    assert code == 0
    assert "Level Eighty: 1 row added" in out
    assert "2 rows refused:" in out
    assert "line 3: 30 of 20 plants" in out
    assert "line 4: the point lies in no field" in out
    assert "level_eighty/scouting.csv" in out
    assert str(two_fields) not in out
    code, out, _ = call(capsys, "scout", two_fields, "--add", points, "--json")
    again = json.loads(out)
    assert again["rows_added"] == {}
    assert again["already_there"] == 1
    assert [one["line"] for one in again["refused"]] == [3, 4]
    # what was counted is known now: another count there has less to tell
    after = next(row for row in ranked(capsys, two_fields)["rows"] if row["field"] == "Level Eighty")
    assert after["sd_d"] < before["sd_d"] - 0.3
    assert after["value_today_usd"] < before["value_today_usd"]


@pytest.mark.parametrize("seed", [2, 4, 9, 14, 17])
def test_made_fields_of_every_level_are_ranked(tmp_path, seed):
    """Metric and US, levels 1 to 3, weather of many years, few or none, north and south."""
    truth = make_field(tmp_path, seed)
    folder = next(tmp_path.rglob("field.toml")).parent
    answer = scout.rank(folder, today=truth.today, seed=0, clock=truth.today)
    assert answer.today == truth.today
    assert len({row.zone for row in answer.rows}) == len(answer.rows)
    assert answer.has_money == (truth.level > 1 and bool(answer.rows))
    for row in answer.rows:
        assert row.best_usd >= 0
        assert 0 <= row.gained_d < row.walk.sd_now_d
        assert row.day is None or truth.today <= row.day
    text = scout.scout_text(answer)
    assert ("first: " in text) == any(
        row.day is not None and (not answer.has_money or row.best_usd >= answer.walk_cost_usd)
        for row in answer.rows
    )
    assert all(len(line) <= 120 for line in text.splitlines())
    assert json.loads(json.dumps(scout.scout_object(answer), allow_nan=False))["rows"] is not None
