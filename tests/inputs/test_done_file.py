"""What was sprayed, from done.csv: every column, every fault, and when a pass was over."""

from datetime import datetime
from pathlib import Path

import pytest

from zoning.errors import InputError
from zoning.inputs import done

HEADER = "field,pass,zones,start,end,half,rate,loads,area,sprayer,wind,temperature,applicator,product,source"


def write(tmp_path: Path, *rows: str, header: str = HEADER) -> Path:
    path = tmp_path / "done.csv"
    path.write_text("\n".join([header, *rows]) + "\n")
    return path


def test_no_file_and_no_rows_say_that_nothing_was_sprayed(tmp_path: Path) -> None:
    assert done.read(tmp_path / "done.csv") == ()
    assert done.read(write(tmp_path)) == ()


def test_by_hand_when_a_pass_was_over(tmp_path: Path) -> None:
    rows = [
        "Home,P1,1 2,2026-07-06 08:00,2026-07-06 11:30,am,15,3,40,rig,5,24,me,Fungicide A,log",
        "Far,P1,1,,2026-07-06,,,,,,,,,Fungicide A,",  # a day: over when the day is over
        "Far,P2,1,2026-07-07T16:00,,,,,,,,,,Fungicide B,",  # only its start is known: over that night
    ]
    assert done.read(write(tmp_path, *rows)) == (
        done.Sprayed(
            field="Home",
            end=datetime(2026, 7, 6, 11, 30),
            product="Fungicide A",
            sprayer="rig",
            zones="1 2",
            # the other columns: a bare number is in the farm's units, wind and temperature stay as typed
            pass_number=1,
            start=datetime(2026, 7, 6, 8),
            half="AM",
            rate_gal_ac=15.0,
            loads=3.0,
            area_ac=40.0,
            wind="5",
            temperature="24",
            applicator="me",
            source="log",
        ),
        done.Sprayed(field="Far", end=datetime(2026, 7, 7), product="Fungicide A", zones="1", pass_number=1),
        done.Sprayed(
            field="Far",
            end=datetime(2026, 7, 8),
            product="Fungicide B",
            zones="1",
            pass_number=2,
            start=datetime(2026, 7, 7, 16),
        ),
    )


def test_by_hand_amounts_in_other_units(tmp_path: Path) -> None:
    header = "field,end,product,rate,area,wind,temperature"
    rows = ["Home,2026-07-06,A,140 L/ha,16.187 ha,10 km/h NW,24 C", "Home,2026-07-06,A,140,16.187,10,24"]
    typed, bare = done.read(write(tmp_path, *rows, header=header), is_metric=True)
    # 140 L/ha / (3.785411784 L/gal x 2.471053815 ac/ha) = 14.9669 gal/ac
    # 16 ha x 2.471053815 = 39.536861, .187 ha x 2.471053815 = .462087; together 39.998948 ac
    assert typed.rate_gal_ac == bare.rate_gal_ac == pytest.approx(14.9669, abs=5e-5)
    assert typed.area_ac == bare.area_ac == pytest.approx(39.998948, abs=5e-7)
    assert (typed.wind, bare.temperature) == ("10 km/h NW", "24")
    row = rows[1].replace("140", "14")
    (us,) = done.read(write(tmp_path, row, header=header))
    assert (us.rate_gal_ac, us.area_ac) == (14.0, 16.187)
    with pytest.raises(InputError, match="more than any sprayer puts out"):
        done.read(write(tmp_path, rows[1], header=header))


def test_every_bad_cell_of_a_row_is_named(tmp_path: Path) -> None:
    row = (
        "Home,one,west,2026-07-06 12:00,2026-07-06 11:00,noon,-5,0,40 mph,rig,-3 mph,200 F,me,Fungicide A,log"
    )
    with pytest.raises(InputError) as caught:
        done.read(write(tmp_path, row))
    assert [str(fault).split(". ")[0] for fault in caught.value.faults] == [
        "done.csv:2: it ends (2026-07-06 11:00) before it starts (2026-07-06 12:00)",
        "done.csv:2: zones west are no zones",
        "done.csv:2: rate -5 is not above 0",
        'done.csv:2: area 40 mph: "mph" is the wrong kind of unit',
        "done.csv:2: loads 0 is no number of loads",
        "done.csv:2: pass one is no pass",
        "done.csv:2: wind -3 mph is no wind",
        "done.csv:2: temperature 200 F is no temperature",
        "done.csv:2: half noon is no half of a day",
    ]


def test_zones_are_numbers_however_they_are_parted(tmp_path: Path) -> None:
    header = "field;end;product;zones"
    rows = ["Home;2026-07-06;A;1,3", "Home;2026-07-06;A;3 1", "Home;2026-07-06;A;"]
    found = done.read(write(tmp_path, *rows, header=header))
    assert [sorted(one.zone_numbers) for one in found] == [[1, 3], [1, 3], []]


def test_an_hour_that_the_clock_skips_and_one_that_comes_twice(tmp_path: Path) -> None:
    """On 2026-11-01 the clock of Chicago goes from 02:00 back to 01:00, on 2026-03-08 from 02:00 to 03:00."""
    header = "field,start,end,product"
    twice = write(tmp_path, "Home,2026-11-01 01:50,2026-11-01 01:10,A", header=header)
    assert done.read(twice, "America/Chicago")[0].end == datetime(2026, 11, 1, 1, 10)
    with pytest.raises(InputError, match="before it starts"):
        done.read(twice, "America/Phoenix")  # its clock never changes
    skipped = write(tmp_path, "Home,2026-03-08 01:50,2026-03-08 02:10,A", header=header)
    with pytest.raises(InputError, match=r"end 2026-03-08 02:10 is skipped by the farm's clock"):
        done.read(skipped, "America/Chicago")
    assert done.read(skipped, "America/Phoenix")


def test_a_time_with_a_zone_needs_the_farms(tmp_path: Path) -> None:
    path = write(tmp_path, "Home,2026-07-07T02:30:00Z,A", header="field,end,product")
    (one,) = done.read(path, "America/Chicago")
    assert one.end == datetime(2026, 7, 6, 21, 30)
    with pytest.raises(InputError, match=r"done\.csv:2: end 2026-07-07T02:30:00Z has a time zone"):
        done.read(path)


def test_every_bad_row_has_its_line(tmp_path: Path) -> None:
    rows = [",2026-07-06,A", "Home,7/6/2026,A", "Home,,A", "Home,9999-12-31,A", "Home,2026-07-06,"]
    with pytest.raises(InputError) as caught:
        done.read(write(tmp_path, *rows, header="field,end,product"))
    assert [str(fault).split(". ")[0] for fault in caught.value.faults] == [
        "done.csv:2: the field is empty",
        "done.csv:3: end 7/6/2026 is not a date",
        "done.csv:4: neither end nor start is given",
        "done.csv:5: end 9999-12-31 is not a date",
    ]
    assert caught.value.code == 3


@pytest.mark.parametrize("header", ["field,end", "end,product", "field,product"])
def test_a_column_that_is_needed(tmp_path: Path, header: str) -> None:
    with pytest.raises(InputError, match="there is no column"):
        done.read(write(tmp_path, "a,b", header=header))
