"""Rows of the scouting files at the desk: listed with their line, added, corrected, struck out."""

import pytest
from made_desks import WHO

from zoning.desk import drawn_file, last_plan

COUNT = {"date": "2026-07-08", "lat": "44.306080", "lon": "-95.408371", "r1": 2, "r2": 18, "r3": 0}
WHY = {"reason": "the sheet was misread"}


def rows(desk):
    return desk.get("state").json()["counts"]


def scouting(desk):
    return (desk.folder / "scouting.csv").read_text(encoding="utf-8")


def asked(row, **more):
    return {name: row[name] for name in ("file", "line", "key")} | WHY | more


def test_every_row_is_listed_with_its_line_as_an_editor_counts(desk):
    lines = scouting(desk).splitlines()
    found = rows(desk)
    assert len(found) == len(lines) - 1
    for one in found:
        assert lines[one["line"] - 1].startswith(f"{one['cells']['date']},{one['cells']['lat']}")
        assert one["where"] == f"scouting.csv:{one['line']}"
        assert one["editable"]


def test_a_count_comes_behind_the_others_and_into_the_log(desk):
    before = scouting(desk)
    answer = desk.post("counts/add", {"cells": COUNT})
    assert answer.status_code == 200
    assert scouting(desk).startswith(before)
    assert rows(desk)[-1]["cells"] == {**{name: str(cell) for name, cell in COUNT.items()}}
    (line,) = desk.log()
    assert (line["what"], line["who"], line["to"]["r2"]) == ("count added", WHO, "18")
    assert line["when"].startswith("2026-07-09T14:15")
    assert (desk.folder / "scouting.csv.bak").read_text(encoding="utf-8") == before


def test_a_place_tapped_on_the_map_is_that_place_on_the_ground(desk):
    # the corner of the map is the north-west of the boundary's box: 100 m right and 100 m down of it
    plan = last_plan.of_field(desk.home, desk.folder)
    west, north = drawn_file.corner(desk.home, desk.folder, plan)
    cells = {name: cell for name, cell in COUNT.items() if name not in ("lat", "lon")}
    assert desk.post("counts/add", {"cells": cells | {"x": 100.0, "y": 100.0}}).status_code == 200
    from pyproj import Transformer

    there = Transformer.from_crs(4326, plan.epsg, always_xy=True)
    found = rows(desk)[-1]["cells"]
    east_m, north_m = there.transform(float(found["lon"]), float(found["lat"]))
    assert east_m - west == pytest.approx(100.0, abs=0.1)  # six decimals of a degree
    assert north - north_m == pytest.approx(100.0, abs=0.1)


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"date": "2026-07-09"}, "2026-07-09"),  # after today
        ({"date": "yesterday"}, "yesterday"),
        ({"lat": "45.3"}, "outside the boundary"),
        ({"lat": "x"}, "lat"),
        ({"r2": "many"}, "many"),
        ({"r2": 0, "r1": 0}, ""),  # no plants
        ({"r2": "", "r1": "", "r3": ""}, "says nothing"),
        ({"pressure": "huge"}, "huge"),
        ({"severity_pct": "150"}, "150"),
        ({"note": "x" * 301}, "301"),
        ({"note": ["x"]}, "no text"),
        ({"colour": "green"}, "colour"),
        ({"r1": True}, "no number"),
        ({"x": "here", "y": 3}, "no place"),
        ({"x": 10**400, "y": 3}, "no place"),
    ],
)
def test_a_count_that_cannot_be_is_refused_and_nothing_is_written(desk, cells, words):
    before = scouting(desk)
    answer = desk.post("counts/add", {"cells": COUNT | cells})
    assert answer.status_code == 422
    assert words in " ".join(answer.json()["lines"])
    assert scouting(desk) == before
    assert desk.log() == []


def test_the_name_of_a_picture_alone_is_a_point_to_look_at(desk):
    cells = {name: COUNT[name] for name in ("date", "lat", "lon")} | {"photo": "leaf_7.jpg"}
    assert desk.post("counts/add", {"cells": cells}).status_code == 200
    assert rows(desk)[-1]["cells"]["photo"] == "leaf_7.jpg"


def test_the_same_count_twice_is_refused(desk):
    desk.post("counts/add", {"cells": COUNT})
    before = scouting(desk)
    answer = desk.post("counts/add", {"cells": COUNT})
    assert answer.status_code == 422
    assert "the same already" in answer.json()["lines"][0]
    assert scouting(desk) == before
    assert [line["what"] for line in desk.log()] == ["count added", "count added", "not done: count added"]


def test_a_formula_from_outside_stays_text(desk):
    desk.post("counts/add", {"cells": COUNT | {"note": "=1+1"}})
    assert "'=1+1" in scouting(desk)


def test_correcting_a_cell_leaves_every_other_row_as_it_is(desk):
    before = scouting(desk).splitlines()
    row = rows(desk)[-1]
    answer = desk.post("counts/correct", asked(row, cells={"r2": "3", "note": "staged, again"}))
    assert answer.status_code == 200
    now = scouting(desk).splitlines()
    assert [one for at, one in enumerate(now, 1) if at != row["line"]] == before[:-1]
    assert now[-1] == '2026-07-07,44.305990,-95.402230,,,5,11,3,0,"staged, again"'
    (line,) = desk.log()
    assert line["from"] == {"row": row["where"], "r2": "4", "note": "staged"}
    assert line["to"] == {"r2": "3", "note": "staged, again"}
    assert line["reason"] == WHY["reason"]


def test_a_correction_may_bring_a_column(desk):
    row = rows(desk)[-1]
    assert desk.post("counts/correct", asked(row, cells={"r4": "0", "r3": "1"})).status_code == 200
    assert scouting(desk).splitlines()[0].endswith(",note,r4")
    found = rows(desk)
    assert found[-1]["cells"]["r4"] == "0"
    assert len(found) == len(scouting(desk).splitlines()) - 1


@pytest.mark.parametrize("cells", [{"r2": "many"}, {"date": "2026-08-01"}, {"lat": "0"}, {}, {"r2": "4"}])
def test_a_correction_that_cannot_be_or_says_the_same_is_refused(desk, cells):
    before = scouting(desk)
    assert desk.post("counts/correct", asked(rows(desk)[-1], cells=cells)).status_code == 422
    assert scouting(desk) == before


def test_a_struck_row_is_kept_in_the_log(desk):
    before = scouting(desk)
    row = rows(desk)[2]
    assert desk.post("counts/strike", asked(row)).status_code == 200
    lines = before.splitlines()
    assert scouting(desk).splitlines() == lines[: row["line"] - 1] + lines[row["line"] :]
    (line,) = desk.log()
    assert line["from"] == {"row": row["where"], "text": lines[row["line"] - 1]}
    assert (desk.folder / "scouting.csv.bak").read_text(encoding="utf-8") == before


@pytest.mark.parametrize("path", ["counts/correct", "counts/strike"])
def test_a_row_that_was_changed_meanwhile_is_not_touched(desk, path):
    row = rows(desk)[2]
    text = scouting(desk).replace("lesions on 6 of 20", "lesions on 7 of 20")
    (desk.folder / "scouting.csv").write_text(text, encoding="utf-8")
    answer = desk.post(path, asked(row, cells={"note": "x"}))
    assert answer.status_code == 422
    assert "changed since" in answer.json()["lines"][0]
    assert scouting(desk) == text


@pytest.mark.parametrize(
    "wrong",
    [
        {"file": 2},
        {"file": 0},
        {"line": 1},
        {"line": 99},
        {"line": -1},
        {"key": ""},
        {"key": 3},
        {"file": "1"},
    ],
)
def test_a_row_that_is_not_there_is_refused(desk, wrong):
    before = scouting(desk)
    answer = desk.post("counts/strike", asked(rows(desk)[0]) | wrong)
    assert answer.status_code in (409, 422)
    assert scouting(desk) == before


@pytest.mark.parametrize("reason", ["", "  ", None, 3, "x" * 301])
def test_no_row_is_struck_without_a_reason(desk, reason):
    before = scouting(desk)
    assert desk.post("counts/strike", asked(rows(desk)[0]) | {"reason": reason}).status_code == 422
    assert scouting(desk) == before


def test_semicolons_and_decimal_commas_stay(desk):
    path = desk.folder / "scouting.csv"
    path.write_text("date;lat;lon;r1;r2\r\n2026-07-07;44,306080;-95,408371;6;14\r\n", encoding="utf-8")
    row = rows(desk)[0]
    assert desk.post("counts/correct", asked(row, cells={"lat": "44.306090", "r1": "5"})).status_code == 200
    assert path.read_bytes() == b"date;lat;lon;r1;r2\r\n2026-07-07;44,306090;-95,408371;5;14\r\n"


def test_a_count_moves_the_dates_of_its_zone(desk):
    was = {one["zone"]: one["stage"]["r3_likely"] for one in desk.plan()["zones"]}
    # most plants are without a flower still, though half of those counted the day before had two
    assert desk.post("counts/add", {"cells": COUNT | {"v": 38, "r1": 2, "r2": 0}}).status_code == 200
    told = desk.run()
    assert told["faults"] == []
    assert told["changed"]
    now = {one["zone"]: one["stage"]["r3_likely"] for one in desk.plan()["zones"]}
    assert now[1] > was[1]
