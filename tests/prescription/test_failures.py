"""failures.csv: each fault by itself, in one order, with the shortest place that still leads there."""

import csv
import io
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from zoning.errors import InputError
from zoning.prescription import failures
from zoning.prescription.failures import within

FARM = Path("farms/heron_slough")


def fault(what="no CRS", where="field.toml", code=3):
    return InputError(what, where=where, mend="Mend it.", code=code)


def read_back(failed):
    return list(csv.DictReader(io.StringIO(failures.text(failed))))


def test_each_fault_of_a_field_has_its_row():
    both = InputError.together([fault("first, with a comma", code=2), fault('second "so called"')])
    assert read_back([("north", both), ("south", fault(code=4))]) == [
        {
            "field": "north",
            "what": "first, with a comma",
            "where": "field.toml",
            "mend": "Mend it.",
            "code": "2",
        },
        {
            "field": "north",
            "what": 'second "so called"',
            "where": "field.toml",
            "mend": "Mend it.",
            "code": "3",
        },
        {"field": "south", "what": "no CRS", "where": "field.toml", "mend": "Mend it.", "code": "4"},
    ]


def test_without_a_failure_only_the_heading():
    assert failures.text([]) == ",".join(failures.COLUMNS) + "\n"


def test_places_inside_the_farm_begin_in_its_folder():
    inside = [FARM / "north" / "a.csv", FARM.absolute() / "north" / "a.csv", "north/a.csv"]
    for where in inside:
        ((_, one),) = within(FARM, [("north", fault(where=where))])
        assert one.where == "north/a.csv"
    elsewhere = ["/other/farm.toml", "farms/heron_slough_east/north/a.csv", "--today"]
    for where in elsewhere:
        ((_, one),) = within(FARM, [("north", fault(where=where))])
        assert one.where == where


def test_what_is_wrong_and_its_code_stay():
    both = InputError.together([fault("first", where=FARM / "farm.toml: line 3", code=2), fault("second")])
    ((name, one),) = within(FARM, [("north", both)])
    assert (name, one.code, [single.what for single in one.faults]) == ("north", 2, ["first", "second"])
    assert one.faults[0].where == "farm.toml: line 3"


@given(st.permutations([f"q{number:02d}" for number in range(12)]))
def test_the_order_in_which_fields_failed_does_not_matter(names):
    table = failures.text(within(FARM, [(name, fault(f"of {name}")) for name in names]))
    assert [row["field"] for row in csv.DictReader(io.StringIO(table))] == sorted(names)
