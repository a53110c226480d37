"""What was sprayed, from done.csv: only what keeps people out of a field."""

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
        ),
        done.Sprayed(field="Far", end=datetime(2026, 7, 7), product="Fungicide A", zones="1"),
        done.Sprayed(field="Far", end=datetime(2026, 7, 8), product="Fungicide B", zones="1"),
    )


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
