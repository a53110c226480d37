"""What was seen in one part of a zone speaks for the zone only where it was mostly walked."""

from datetime import date
from types import SimpleNamespace

import numpy as np

from zoning.inputs.given import Sighting
from zoning.inputs.grid import Grid
from zoning.offers.sightings import of_parts, speaking

GRID = Grid(32615, 0.0, 20.0, 10.0, (2, 4))
ONE_ZONE = np.ones((2, 4), dtype=np.int16)
PARTS = np.array([[1, 2, 2, 2], [1, 2, 2, 2]], dtype=np.int16)  # a quarter and the rest


def seen(column: int, pressure="low", on=date(2026, 7, 6)) -> Sighting:
    return Sighting(on=on, east_m=10.0 * column + 5, north_m=15.0, pressure=pressure, cause="")


def said(*sightings: Sighting):
    given = SimpleNamespace(sightings=sightings, grid=GRID)
    return of_parts(given, SimpleNamespace(number_of_cell=ONE_ZONE, part_of_cell=PARTS))


def test_by_hand_a_quarter_does_not_speak_for_the_zone():
    assert speaking([seen(0)], ONE_ZONE, GRID, PARTS) == {}
    (note,) = said(seen(0))
    assert note.code == "offers.seen_on_part"
    assert "25 %" in note.text
    assert "zone 1" in note.text


def test_by_hand_three_quarters_do():
    assert speaking([seen(2)], ONE_ZONE, GRID, PARTS) == {1: seen(2)}
    assert said(seen(2)) == ()


def test_a_zone_that_was_walked_in_all_its_parts_has_its_latest_sighting():
    later = seen(0, "high", date(2026, 7, 8))
    assert speaking([later, seen(3)], ONE_ZONE, GRID, PARTS) == {1: later}


def test_of_one_day_the_one_that_names_most_speaks():
    assert speaking([seen(2, "low"), seen(3, "seen"), seen(1, "medium")], ONE_ZONE, GRID, PARTS) == {
        1: seen(3, "seen")
    }


def test_zones_that_somebody_drew_have_no_parts():
    assert speaking([seen(0)], ONE_ZONE, GRID) == {1: seen(0)}


def test_a_place_outside_speaks_for_nothing():
    assert speaking([seen(9)], ONE_ZONE, GRID, PARTS) == {}
