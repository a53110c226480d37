"""Time logs of task data: bytes by hand, any records there and back, and every way in which a log is none."""

import struct
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_inputs import TODAY
from made_planter import (
    HEAD,
    Record,
    Task,
    as_task_data,
    binary,
    field_of,
    moved,
    records,
    task_data,
)

from zoning.errors import CONTENT, SETTINGS, WORLD, InputError
from zoning.fetch import planting
from zoning.fetch.planting import Typed
from zoning.inputs.planted.brought.taskdata import timelog
from zoning.inputs.planted.brought.taskdata.tree import parse

MADE = records(30.0)
NAMES = {"PDT1": "P", "PDT2": "Q"}
LAYOUT = timelog.layout(parse(HEAD.encode(), "T.XML"), "T.XML")
COUNT, WORKS = 12, 141


@pytest.fixture
def place(tmp_path):
    return field_of(tmp_path / "farm")


def read(content, layout=LAYOUT):
    return timelog.records(content, layout, (COUNT, WORKS), "T.BIN")


def shown(place, path, *tasks):
    return planting.preview(place.field, path, Typed(tasks=tasks), today=TODAY, clock=TODAY)


def refused(place, path, *tasks):
    with pytest.raises(InputError) as caught:
        shown(place, path, *tasks)
    return caught.value


def codes(found):
    return [said.code for said in found.notes]


# -- one record by hand --------------------------------------------------------------------------------------


def test_by_hand_one_record():
    # 08:30:00 is 30,600,000 ms = 0x01d2eb40, the least byte first: 40 eb d2 01
    # 2026-05-06 is day 16,790 (46 years) + 12 (leap days) + 125 = 16,927 = 0x421f since 1980-01-01: 1f 42
    # north 44.3 degrees is 443,000,000 steps = 0x1a67a4c0: c0 a4 67 1a
    # east -95.4 is -954,000,000 = 0xc7231d80: 80 1d 23 c7
    # status 4, one value: 04 01; value 0 of the header, 34.5 a square metre: 34,500 = 0x86c4: 00 c4 86 00 00
    content = bytes.fromhex("40ebd201 1f42 c0a4671a 801d23c7 04 01 00 c4860000")
    found = read(content)
    assert found.count == 1
    assert date.fromordinal(int(found.day[0])) == date(2026, 5, 6)
    assert found.of_day_s[0] == 8.5 * 3600
    assert (found.latitude_deg[0], found.longitude_deg[0]) == pytest.approx((44.3, -95.4))
    assert found.values[COUNT].tolist() == [[34_500.0]]
    assert found.left_bytes == 0
    assert content == binary([Record(-95.4, 44.3, datetime(2026, 5, 6, 8, 30), "P")])[:21].replace(
        b"\x04\x02", b"\x04\x01"
    )


def test_by_hand_a_value_below_0():
    # -5 in 32 bits is 2^32 - 5 = 0xfffffffb, the least byte first: fb ff ff ff
    content = bytes.fromhex("40ebd201 1f42 c0a4671a 801d23c7 04 01 00 fbffffff")
    assert read(content).values[COUNT].tolist() == [[-5.0]]


@pytest.mark.parametrize("status", range(16))
def test_a_position_counts_unless_its_status_says_that_there_is_none(status):
    content = bytes.fromhex(f"40ebd201 1f42 c0a4671a 801d23c7 {status:02x} 01 00 c4860000")
    found = read(content)
    assert np.isnan(found.latitude_deg[0]) == np.isnan(found.longitude_deg[0]) == (status in (0, 14, 15))


@pytest.mark.parametrize(
    ("key", "size"), [("C", 4), ("D", 1), ("E", 2), ("F", 2), ("G", 1), ("H", 4), ("I", 2)]
)
def test_by_hand_each_part_of_a_position_has_its_own_bytes(key, size):
    # 4 + 2 of the time, 4 + 4 of the place: 14, and those of the one part beside it
    header = f'<TIM A=""><PTN A="" B="" {key}=""/></TIM>'
    assert timelog.layout(parse(header.encode(), "T.XML"), "T.XML").head.itemsize == 14 + size


def test_by_hand_every_part_of_a_position_has_its_bytes():
    # 4 + 2 of the time; of north, east, up, status, PDOP, HDOP, satellites and UTC
    # 4 + 4 + 4 + 1 + 2 + 2 + 1 + 4 + 2
    whole = '<TIM A="" B="" D="4"><PTN A="" B="" C="" D="" E="" F="" G="" H="" I=""/></TIM>'
    layout = timelog.layout(parse(whole.encode(), "T.XML"), "T.XML")
    assert layout.head.itemsize == 30
    content = struct.pack("<IHiiiBHHBIHB", 1000, 16927, 443000000, -954000000, 250, 4, 12, 8, 9, 1, 16927, 0)
    found = read(2 * content, layout)
    assert found.of_day_s.tolist() == [1.0, 1.0]
    assert found.longitude_deg == pytest.approx([-95.4, -95.4])


# -- any records there and back ------------------------------------------------------------------------------

PLACED = st.builds(
    Record,
    lon=st.integers(-1_800_000_000, 1_800_000_000).map(lambda one: one / 1e7),
    lat=st.integers(-900_000_000, 900_000_000).map(lambda one: one / 1e7),
    when=st.datetimes(datetime(1980, 1, 1), datetime(2150, 1, 1)).map(
        lambda one: one.replace(microsecond=one.microsecond // 1000 * 1000)
    ),
    variety=st.just("P"),
    seeds_m2=st.none() | st.integers(0, 2**31 - 1).map(lambda one: one / 1000),
    works=st.booleans(),
)


@given(st.lists(PLACED, max_size=30), st.booleans(), st.integers(0, 400))
def test_any_records_are_read_back_up_to_the_last_whole_one(made, sparse, cut):
    content = binary(made, sparse=sparse)
    found = read(content)
    assert (found.count, found.left_bytes) == (len(made), 0)
    last, counted = np.nan, []
    for one in made:  # what a record leaves out stays as it was
        last = last if one.seeds_m2 is None else round(one.seeds_m2 * 1000)
        counted.append(last)
    for at, one in enumerate(made):
        assert date.fromordinal(int(found.day[at])) == one.when.date()
        since = one.when - datetime.combine(one.when, datetime.min.time())
        assert found.of_day_s[at] == pytest.approx(since / timedelta(seconds=1))
        assert found.longitude_deg[at] == pytest.approx(one.lon, abs=1e-9)
        assert found.latitude_deg[at] == pytest.approx(one.lat, abs=1e-9)
    if made:
        np.testing.assert_array_equal(found.values[COUNT][0], counted)
        assert found.values[WORKS][0].tolist() == [one.works for one in made]
    part = read(content[:cut])
    whole = sum(len(binary([one])) for one in made[: part.count]) if not sparse else None
    assert part.count <= len(made)
    assert whole is None or whole + part.left_bytes == min(cut, len(content))
    np.testing.assert_array_equal(part.day, found.day[: part.count])


def code_of(action):
    """Exit code of a fault, 0 where there is none."""
    try:
        action()
    except InputError as error:
        return error.code
    return 0


@given(st.binary(max_size=400))
def test_any_bytes_are_records_or_a_fault(content):
    def whole():
        found = read(content)
        assert found.count * 16 + found.left_bytes <= len(content)

    assert code_of(whole) in (0, CONTENT)


@given(st.binary(max_size=200) | st.text("<>/TIMPNDLV =\"'A0C&;!", max_size=200).map(str.encode))
def test_any_header_is_one_or_a_fault(content):
    assert code_of(lambda: timelog.layout(parse(content, "T.XML"), "T.XML")) in (0, CONTENT)


# -- logs that are none --------------------------------------------------------------------------------------

HEADERS = {
    "<TSK/>": "this is no header of a time log",
    '<TIM A="" D="4"><DLV A="000C" B=""/></TIM>': "the records of the time log have no positions",
    '<TIM A="" D="4"><PTN A="44.3" B="-95.4"/></TIM>': "the records of the time log have no positions",
    '<TIM D="4"><PTN A="" B=""/></TIM>': "the records of the time log have no time",
    '<TIM A="2026-05-06T08:00:00" D="4"><PTN A="" B=""/></TIM>': "the records of the time log have no time",
    '<TIM A="" D="4"><PTN A="" B=""/><DLV A="seeds" B=""/></TIM>': 'the header has the number "seeds"',
    '<TIM A="" D="4"><PTN A="" B=""/>' + 256 * '<DLV A="000C" B=""/>' + "</TIM>": "its header has 256 values",
    "<TIM": "cannot be read as XML",
    '<!DOCTYPE a [<!ENTITY b "c">]><TIM A="&b;"/>': "has a document type or entities",
    "<TIM>" * 40 + "</TIM>" * 40: "nested more than 32 deep",
    '<?xml version="1.0" encoding="nobody-knows"?><TIM/>': "cannot be read as XML",
}


@pytest.mark.parametrize("head", HEADERS)
def test_a_header_that_is_none_is_one_clear_line(head, place, tmp_path):
    home = task_data(tmp_path, [Task(1, "plant", (binary(MADE),), head=head)], NAMES)
    fault = refused(place, home)
    assert HEADERS[head] in str(fault)
    assert fault.code == CONTENT
    assert fault.where.startswith("TASKDATA: TLG00001.XML")
    assert len(fault.faults) == 1


def test_a_header_of_other_records_is_found_out(place, tmp_path):
    other = '<TIM A="" D="4"><PTN A="" B="" C="" D=""/><DLV A="000C" B="" C="DET-1"/></TIM>'
    home = task_data(tmp_path, [Task(1, "plant", (binary(MADE),), head=other)], NAMES)
    told = str(refused(place, home))
    assert "TASKDATA: TLG00001.BIN: record " in told
    assert "a .BIN and its .XML belong together" in told
    few = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="000C" B="" C="DET-1"/></TIM>'
    home = task_data(tmp_path / "b", [Task(1, "plant", (binary(MADE),), head=few)], NAMES)
    assert "record 1 has value 1, and the header 1 values" in str(refused(place, home))


def test_a_cut_log_is_read_to_its_last_whole_record_and_said(place, tmp_path):
    content = binary(MADE)
    home = task_data(tmp_path, [Task(1, "plant", (content[:-3],), products='<PAN A="PDT1"/>')], NAMES)
    found = shown(place, home)
    assert len(found.rows) == len(MADE) - 1
    assert found.notes[0].text == (
        f"TASKDATA: TLG00001.BIN ends in the middle of a record: its {len(MADE) - 1:,} whole records were "
        "read, 23 bytes were left"
    )  # a record has 16 bytes, and 5 for each of two values: 26 - 3 = 23


def test_a_count_that_promises_more_than_there_is_ends_the_log():
    content = bytearray(binary(MADE[:3]))
    content[15] = 255  # the first record says that 255 values follow
    found = read(bytes(content))
    assert (found.count, found.left_bytes) == (0, len(content))


def test_more_records_than_are_read_are_refused(monkeypatch):
    monkeypatch.setattr(timelog, "number", lambda key: 2.0)
    with pytest.raises(InputError, match="more than 2 records"):
        read(binary(MADE[:3]))


def test_a_receiver_without_a_place_has_none(place, tmp_path):
    content = bytearray(binary(MADE))
    for record in range(5):
        content[26 * record + 14] = 0  # no fix
    home = task_data(tmp_path, [Task(1, "plant", (bytes(content),), products='<PAN A="PDT1"/>')], NAMES)
    found = shown(place, home)
    assert len(found.rows) == len(MADE) - 5
    assert codes(found)[0] == "brought.nowhere"
    nowhere = [moved(one, lon=0.0, lat=0.0) for one in MADE]
    home = task_data(tmp_path / "b", [Task(1, "plant", (binary(nowhere),))], NAMES)
    assert "none of its records has a place" in str(refused(place, home))


def test_where_the_planter_is_lifted_nothing_was_planted(place, tmp_path):
    """It drives over ground of the first day again, two weeks later, with its units off."""
    late = [moved(one, when=one.when + timedelta(days=13), works=False, seeds_m2=None) for one in MADE[:60]]
    home = task_data(
        tmp_path, [Task(1, "plant", (binary([*MADE, *late]),), products='<PAN A="PDT1"/>')], NAMES
    )
    found = shown(place, home)
    assert codes(found)[0] == "brought.lifted"
    assert len(found.rows) == len(MADE)


def test_a_constant_of_the_header_counts_for_all_records(place, tmp_path):
    head = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="000B" B="34500" C="DET-1"/></TIM>'
    content = b"".join(binary([one])[:15] + b"\0" for one in MADE)
    found = shown(place, task_data(tmp_path, [Task(1, "plant", (content,), head=head)], NAMES))
    assert found.population_ac() == pytest.approx(34.5 * 43_560 * 0.3048**2)
    assert {one.role: one.column for one in found.sowings.taken}["population"].startswith(
        "count per area, set"
    )


def test_what_was_typed_goes_before_what_the_format_says(place, tmp_path):
    typed = Typed(columns=("variety=",))
    found = planting.preview(place.field, as_task_data(tmp_path, MADE), typed, today=TODAY, clock=TODAY)
    assert {one.role: one.how for one in found.sowings.taken} == {"date": "format", "population": "format"}
    assert [one.variety for one in found.planted.blocks] == ["", ""]


def test_what_was_counted_goes_before_what_was_set(place, tmp_path):
    head = (
        '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="000B" B="40000" C="D"/><DLV A="000C" B="" C="D"/></TIM>'
    )
    content = b"".join(binary([one])[:15] + struct.pack("<BBi", 1, 1, 35_000) for one in MADE)
    found = shown(place, task_data(tmp_path, [Task(1, "plant", (content,), head=head)], NAMES))
    assert found.population_ac() == pytest.approx(35 * 43_560 * 0.3048**2)


# -- tasks ---------------------------------------------------------------------------------------------------


def test_tasks_of_another_field_stay_out_and_tasks_are_chosen_by_name(place, tmp_path):
    home = as_task_data(tmp_path, MADE)
    text = (home / "TASKDATA.XML").read_text(encoding="utf-8")
    (home / "TASKDATA.XML").write_text(text.replace('C="Field"', 'C="Other"'), encoding="utf-8")
    fault = refused(place, home)
    assert fault.code == SETTINGS
    assert str(fault) == (
        'TASKDATA: it holds several tasks: "plant P" on Other, "plant Q" on Other. Say which with --task '
        "NAME; it may be given several times."
    )
    found = shown(place, home, "Plant  q")
    assert [one.variety for one in found.planted.blocks] == ["Q"]
    assert found.sowings.tasks == ("plant Q",)
    assert len(shown(place, home, "TSK1", "plant q").planted.blocks) == 2
    fault = refused(place, home, "plant R")
    assert fault.code == SETTINGS
    assert 'there is no task "plant R" with a time log' in str(fault)


@pytest.mark.parametrize("step", [1, -1])  # in whatever order they stand there
def test_varieties_go_by_the_times_of_their_allocation(step, place, tmp_path):
    spans = (
        '<PAN A="PDT1" B="000B"><ASP A="2026-05-06T00:00:00" B="2026-05-07T00:00:00"/></PAN>',
        '<PAN A="PDT2" B="000B"><ASP A="2026-05-20T00:00:00Z"/></PAN>',
        '<PAN A="PDT3" B="0001"/>',
    )
    task = Task(1, "plant", (binary(MADE),), products="".join(spans[::step]))
    home = task_data(tmp_path, [task], {**NAMES, "PDT3": "starter, no seed"})
    found = shown(place, home)
    assert [one.variety for one in found.planted.blocks] == ["P", "Q"]
    assert "brought.several_products" not in codes(found)


def test_products_that_cannot_be_told_apart_are_one_mixture(place, tmp_path):
    both = '<PAN A="PDT1"/><PAN A="PDT2"/>'
    found = shown(place, task_data(tmp_path, [Task(1, "plant", (binary(MADE),), products=both)], NAMES))
    assert {one.variety for one in found.planted.blocks} == {"P and Q"}
    assert "task plant planted several products at once (P, Q)" in found.notes[0].text


def test_without_a_product_the_variety_of_the_field_counts(place, tmp_path):
    home = task_data(tmp_path, [Task(1, "", (binary(MADE),))], {})
    text = (home / "TASKDATA.XML").read_text(encoding="utf-8")
    crop = '<CTP A="CTP1" B="soybean"><CVT A="CVT1" B="V\u202e 7"/></CTP>'
    text = text.replace('D="120000"', 'D="120000" G="CTP1" H="CVT1"').replace("<PFD", f"{crop}<PFD")
    (home / "TASKDATA.XML").write_text(text, encoding="utf-8")
    found = shown(place, home)
    assert {one.variety for one in found.planted.blocks} == {"V 7"}
    assert found.sowings.tasks == ("TSK1",)


def test_parts_in_files_of_their_own_are_read(place, tmp_path):
    home = as_task_data(tmp_path, MADE)
    text = (home / "TASKDATA.XML").read_text(encoding="utf-8")
    start, end = text.index("<TSK"), text.index("</ISO11783_TaskData>")
    whole = f"{text[:start]}<XFR A='TSK00001' B='1'/><XFR A='../../x'/>{text[end:]}"
    (home / "TASKDATA.XML").write_text(whole, encoding="utf-8")
    (home / "TSK00001.XML").write_text(f"<XFC>{text[start:end]}</XFC>", encoding="utf-8")
    assert len(shown(place, home).planted.blocks) == 2
    (home / "TSK00001.XML").write_text("<TSK/>", encoding="utf-8")
    assert "TSK00001.XML: this is no part of task data, but <TSK>" in str(refused(place, home))


def test_names_that_lead_elsewhere_are_no_logs(place, tmp_path):
    home = as_task_data(tmp_path, MADE)
    text = (home / "TASKDATA.XML").read_text(encoding="utf-8")
    for name in ("../TLG00001", "/etc/passwd", "TLG1", "GRD00001"):
        (home / "TASKDATA.XML").write_text(
            text.replace("TLG00001", name).replace("TLG00002", name), encoding="utf-8"
        )
        assert "none of its tasks has a time log" in str(refused(place, home)), name


def test_a_log_that_is_not_there_is_said_and_no_log_at_all_refused(place, tmp_path):
    home = as_task_data(tmp_path, MADE)
    (home / "TLG00001.BIN").unlink()
    found = shown(place, home)
    assert found.notes[0].text == "TLG00001.BIN is not there in TASKDATA: that time log was passed over"
    (home / "TLG00002.BIN").write_bytes(b"")
    assert "no record is in its time logs" in str(refused(place, home))


def test_task_data_without_what_was_done_is_refused(place, tmp_path):
    home = task_data(tmp_path, [Task(1, "plan", ())], NAMES)
    assert "TASKDATA: TASKDATA.XML: none of its tasks has a time log" in str(refused(place, home))
    (home / "TASKDATA.XML").write_text("<html/>", encoding="utf-8")
    assert "this is no task data, but <html>" in str(refused(place, home))


def test_a_folder_without_task_data_and_one_that_may_not_be_read_are_told(place, tmp_path, monkeypatch):
    (tmp_path / "empty").mkdir()
    fault = refused(place, tmp_path / "empty")
    assert (fault.code, fault.what) == (SETTINGS, "there is no TASKDATA.XML in this folder")

    def locked(_):
        raise PermissionError

    monkeypatch.setattr("pathlib.Path.iterdir", locked)
    assert refused(place, tmp_path / "empty").code == WORLD


def test_files_of_a_set_that_are_too_large_or_locked_are_told(place, tmp_path, monkeypatch):
    home = task_data(tmp_path, [Task(1, "plant", (binary(MADE),))], NAMES)
    whole = type(home).read_bytes

    def locked(path):
        if path.suffix == ".BIN":
            raise PermissionError
        return whole(path)

    with monkeypatch.context() as now:
        now.setattr("pathlib.Path.read_bytes", locked)
        fault = refused(place, home)
    assert (fault.code, fault.what) == (WORLD, "you are not allowed to read TLG00001.BIN")
    with (home / "TLG00001.BIN").open("ab") as file:
        file.truncate(501_000_000)  # a hole: no room on the disk is taken
    assert "TLG00001.BIN has more than 500 MB" in str(refused(place, home))


def test_other_values_and_positions_without_a_status_are_read(place, tmp_path):
    head = (
        '<TIM A="" D="4"><PTN A="" B=""/><DLV A="0086" B="" C="DET-1"/><DLV A="000C" B="" C="DET-1"/></TIM>'
    )
    pair = struct.pack("<BiBi", 0, 77, 1, 34_500)
    content = b"".join(binary([one])[:14] + b"\2" + pair for one in MADE)
    home = task_data(tmp_path, [Task(1, "plant", (content,), products='<PAN A="PDT1"/>', head=head)], NAMES)
    found = shown(place, home)
    assert found.population_ac() == pytest.approx(34.5 * 43_560 * 0.3048**2)
    typed = Typed(columns=("population=", "variety=variety of the field", "group="))
    with pytest.raises(InputError, match='there is no column "variety of the field"'):
        planting.preview(place.field, home, typed, today=TODAY, clock=TODAY)
    typed = Typed(columns=("population=", "variety="))
    found = planting.preview(place.field, home, typed, today=TODAY, clock=TODAY)
    assert [one.role for one in found.sowings.taken] == ["date"]


def test_several_elements_count_by_their_mean_and_the_planter_works_where_one_does(place, tmp_path):
    head = (
        '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="000C" B="" C="DET-1"/><DLV A="008D" B="" C="DET-1"/>'
        '<DLV A="000C" B="" C="DET-2"/><DLV A="008D" B="" C="DET-2"/></TIM>'
    )
    one_of_two = struct.pack("<BiBiBiBi", 0, 30_000, 1, 1, 2, 40_000, 3, 0)
    none_of_two = struct.pack("<BiBiBiBi", 0, 30_000, 1, 0, 2, 40_000, 3, 0)
    ways = [none_of_two if at < 20 else one_of_two for at in range(len(MADE))]
    content = b"".join(binary([one])[:15] + b"\4" + values for one, values in zip(MADE, ways, strict=True))
    found = shown(place, task_data(tmp_path, [Task(1, "plant", (content,), head=head)], NAMES))
    assert found.population_ac() == pytest.approx(35 * 43_560 * 0.3048**2)
    assert found.sowings.row.tolist() == list(range(21, len(MADE) + 1))
    assert "brought.lifted" in codes(found)
