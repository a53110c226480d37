"""Strips that nobody wrote down: gaps a boom wide in what a machine sprayed."""

import pytest
import shapely
from hypothesis import given
from hypothesis import settings as tried
from hypothesis import strategies as st
from made_inputs import FIELD, NORTH, SOUTH, WEST, Folder
from made_sprayed_strips import (
    BOOM_M,
    PRODUCT_NAME,
    ground,
    put_applied,
    put_done,
    trial_folder,
)
from shapely import affinity, box

from zoning.errors import InputError
from zoning.inputs.harvest.ground.gaps import pairs_of

DAY = "2026-07-24"
SIDE_M = 12 * BOOM_M  # 329 m across
PLAIN = box(0, 0, SIDE_M, 400)


def swath(number: int, south: float = 0, north: float = 400):
    """The swath with this number, from 0, on the plain field."""
    return box(number * BOOM_M, south, (number + 1) * BOOM_M, north)


def found(treated, heading_deg: float = 0.0, crop=PLAIN):
    """Pairs as (pair, treatment, swath)."""
    strips = pairs_of(treated, crop, heading_deg, BOOM_M)
    return [(one.pair, one.treatment[0], one.outline.centroid.x // BOOM_M) for one in strips]


@pytest.fixture
def trial(tmp_path) -> Folder:
    made = Folder(tmp_path / "farm")
    made.shapes("boundary.geojson", [FIELD])
    return trial_folder(made)


def test_partners_lie_by_turns_on_either_side():
    treated = PLAIN - swath(2) - swath(5) - swath(9)
    assert found(treated) == [(1, "u", 2), (1, "t", 1), (2, "u", 5), (2, "t", 6), (3, "u", 9), (3, "t", 8)]


def test_the_side_that_is_sprayed_on_more_of_its_length_is_taken():
    spot = box(BOOM_M + 3, 100, BOOM_M + 20, 160)  # a tenth of the swath in the west
    treated = PLAIN - swath(2) - spot
    assert found(treated) == [(1, "u", 2), (1, "t", 3)]


def test_by_hand_what_is_no_strip():
    # a skip narrower than .7 booms, a zone wider than 1.3, one shorter than 300 ft (91.4 m), one at the edge
    skip = box(50, 0, 50 + 0.6 * BOOM_M, 400)
    zone = box(50, 0, 50 + 1.5 * BOOM_M, 400)
    for dry in (skip, zone, swath(3, 100, 190), swath(0), swath(3) | swath(4)):
        assert found(PLAIN - dry) == []
    assert found(PLAIN - swath(3, 100, 192)) == [(1, "u", 3), (1, "t", 2)]


def test_a_strip_that_leads_into_a_zone_that_was_skipped_is_one_as_far_as_the_zone():
    skipped = box(0, 280, SIDE_M, 400)
    strips = pairs_of(PLAIN - swath(4) - skipped, PLAIN, 0.0, BOOM_M)
    dry = strips[0].outline
    assert dry.bounds == pytest.approx((4 * BOOM_M, 0, 5 * BOOM_M, 280), abs=0.1)


def test_a_strip_on_both_sides_of_a_skipped_zone_is_one_pair():
    skipped = box(0, 150, SIDE_M, 240)
    found_there = found(PLAIN - swath(4) - skipped)
    assert found_there == [(1, "u", 4), (1, "u", 4), (1, "t", 3), (1, "t", 3)]


def test_two_gaps_share_no_partner():
    # The first takes 2, so the second takes 6; the third would take 6 by its turn and takes 8.
    expected = [(1, "u", 3), (1, "t", 2), (2, "u", 5), (2, "t", 6), (3, "u", 7), (3, "t", 8)]
    assert found(PLAIN - swath(3) - swath(5) - swath(7)) == expected


def test_the_swath_that_a_pair_has_is_left_to_it():
    # 2 takes 3, which is sprayed on more than 1; 4 has only 5 left; 6 only 7, though 5 is sprayed on more
    spots = box(BOOM_M + 3, 100, BOOM_M + 20, 160) | box(7 * BOOM_M + 7, 100, 7 * BOOM_M + 24, 160)
    taken = [(1, "u", 2), (1, "t", 3), (2, "u", 4), (2, "t", 5), (3, "u", 6), (3, "t", 7)]
    assert found(PLAIN - swath(2) - swath(4) - swath(6) - spots) == taken


def test_strips_never_lie_over_each_other():
    wide = box(4 * BOOM_M, 0, 5.25 * BOOM_M, 400)  # its partner would reach into the next gap
    strips = pairs_of(PLAIN - wide - box(6.4 * BOOM_M, 0, 7.4 * BOOM_M, 400), PLAIN, 0.0, BOOM_M)
    assert len(strips) == 4
    whole = shapely.union_all([one.outline for one in strips])
    assert whole.area == pytest.approx(sum(one.outline.area for one in strips), rel=1e-3)


@tried(max_examples=20)
@given(turn_deg=st.floats(0, 180), east_m=st.floats(-1e5, 1e5))
def test_it_does_not_matter_how_the_field_lies(turn_deg, east_m):
    treated = PLAIN - swath(2) - swath(6)

    def there(shape):
        return affinity.translate(affinity.rotate(shape, -turn_deg, origin=(0, 0)), east_m, 4.9e6)

    strips = pairs_of(there(treated), there(PLAIN), turn_deg, BOOM_M)
    expected = [there(swath(number)) for number in (2, 1, 6, 7)]
    assert [one.treatment for one in strips] == ["untreated", "treated"] * 2
    for one, outline in zip(strips, expected, strict=True):
        assert shapely.symmetric_difference(one.outline, outline).area < 10


def test_a_field_without_a_design_takes_its_gaps_and_says_so(trial):
    dry = [box(WEST + east, SOUTH, WEST + east + BOOM_M, NORTH) for east in (90, 250)]
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    made = ground(trial, applied=put_applied(trial, FIELD - dry[0] - dry[1]))
    assert (made.source, made.treated_source) == ("as-applied", "as-applied")
    assert [(one.pair, one.treatment) for one in made.strips] == [
        (1, "untreated"),
        (1, "treated"),
        (2, "untreated"),
        (2, "treated"),
    ]
    assert shapely.symmetric_difference(made.strips[0].outline, dry[0]).area < 60
    said = next(note for note in made.notes if note.code == "trial_ground.of_gaps")
    assert "2 gaps in rig.geojson" in said.text
    assert "No lots were drawn" in said.text


def test_a_field_sprayed_without_gaps_has_no_strips(trial):
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    with pytest.raises(InputError) as error:
        ground(trial, applied=put_applied(trial, FIELD))
    assert error.value.what == (
        "no design says where strips lie, and no gap of about 90 ft is left inside what it treats"
    )


def test_without_a_sprayer_nobody_knows_how_wide_a_gap_is(trial):
    (trial.path / "farm.toml").write_text("season = 2026\nname = 'Test'\n[harvest]\nheader = '35 ft'\n")
    with pytest.raises(InputError) as error:
        ground(trial, applied=put_applied(trial, FIELD))
    assert (error.value.code, error.value.what) == (
        2,
        "the boom is not known, so no gap of its width can be looked for",
    )
