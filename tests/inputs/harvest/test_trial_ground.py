"""What was sprayed, and where strips lie: by whom it is said, and what is never taken for done."""

from datetime import date

import numpy as np
import pytest
import shapely
from made_inputs import EPSG, FIELD, NORTH, SOUTH, WEST, Folder
from made_sprayed_strips import (
    AFTER,
    PRODUCT_NAME,
    RUN_ID,
    ZONES,
    codes,
    ground,
    ground_of_strips,
    inputs_of,
    put_applied,
    put_design,
    put_done,
    put_zones,
    strips_laid,
    trial_folder,
)
from made_trial_ground import cleaned_as, driven, points_at
from shapely import box

from zoning.errors import InputError
from zoning.inputs.harvest.ground.trial_ground import check_days, ground_of
from zoning.strips.paired.pairs import paired
from zoning.strips.paired.placed import place

DAY = "2026-07-24"
LESS_M2 = 30.0  # of ground that rounding, and edges that are no longer straight in degrees, may cost


@pytest.fixture
def trial(tmp_path) -> Folder:
    made = Folder(tmp_path / "farm")
    made.shapes("boundary.geojson", [FIELD])
    return trial_folder(made)


def alike(one, other) -> bool:
    return shapely.symmetric_difference(one, other).area < LESS_M2


def refusal(folder: Folder, today: date = AFTER, **asked) -> tuple[InputError, ...]:
    with pytest.raises(InputError) as error:
        ground(folder, today, **asked)
    assert "\n" not in str(error.value.faults[0])
    return error.value.faults


# -- by done.csv and the design ------------------------------------------------------------------------------


def test_nothing_on_record_is_not_taken_from_a_plan(trial):
    put_design(trial)
    put_zones(trial.field / "out" / "zones.gpkg")
    (fault,) = refusal(trial)
    assert fault.code == 3
    assert fault.what == "nothing is on record as sprayed"
    assert all(word in fault.mend for word in ("sprayworth done", "--applied", "--strips"))


def test_a_pass_over_the_whole_field_leaves_the_untreated_strips_dry(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial)
    assert (found.source, found.treated_source) == ("design", "done")
    assert found.treated_on == (date(2026, 7, 24),)
    assert alike(found.treated, FIELD - ground_of_strips("untreated"))
    assert [(one.pair, one.treatment) for one in found.strips] == [
        (one.pair, one.treatment) for one in strips_laid()
    ]
    assert codes(found) == ["one_zone", "by_done"]
    assert list(found.zones) == [1]
    assert set(found.files) == {"strips/design.geojson", "../done.csv"}


def test_by_hand_lengths_that_are_left_out(trial):
    # The combine's 15 m, and 14 mph x 0.5 s = 20.53 ft/s x 0.5 s = 10.27 ft = 3.13 m of a section that
    # switches; a headland of 90 ft and 35 ft = 38.1 m.
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial)
    assert found.header_m == pytest.approx(10.668)
    assert found.width_m == pytest.approx(27.432)
    assert found.step_m == pytest.approx(15 + 3.13, abs=0.005)
    assert found.headland_m == pytest.approx(38.1)


def test_zones_that_were_sprayed_and_strips_by_the_map_of_the_pass(trial):
    put_design(trial)
    pieces = [
        (1, "treated", 1, 1, strips_laid()[1].outline & ZONES[1]),
        (1, "treated", 2, 1, strips_laid()[1].outline & ZONES[2]),
        (2, "treated", 1, 1, strips_laid()[3].outline & ZONES[1]),
        (2, "treated", 2, None, strips_laid()[3].outline & ZONES[2]),  # as where a label closes it
    ]
    put_zones(trial.field / "applied" / "zones.gpkg", pieces=pieces)
    put_done(trial, f"1,1,{DAY},{PRODUCT_NAME},plan {RUN_ID[:8]}: zones")
    found = ground(trial)
    expected = (ZONES[1] - ground_of_strips("untreated")) | pieces[1][-1]
    assert alike(found.treated, expected)
    assert codes(found) == ["by_done", "by_map"]
    assert "applied/zones.gpkg" in found.files


def test_the_map_of_another_plan_is_not_followed_the_design_is(trial):
    put_design(trial)
    pieces = [(1, "treated", 2, None, strips_laid()[1].outline & ZONES[2])]
    put_zones(trial.field / "applied" / "zones.gpkg", pieces=pieces, run_id="f" * 16)
    put_done(trial, f"1,1,{DAY},{PRODUCT_NAME},plan {RUN_ID[:8]}: zones")
    found = ground(trial)
    assert alike(
        found.treated, (ZONES[1] - ground_of_strips("untreated")) | (ground_of_strips("treated") & FIELD)
    )


def test_a_pass_that_was_typed_sprays_no_strip_in_other_zones(trial):
    put_design(trial)
    put_zones(trial.field / "applied" / "zones.gpkg")
    put_done(trial, f",1,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial)
    assert alike(found.treated, ZONES[1] - ground_of_strips("untreated"))
    assert codes(found) == ["by_done", "not_by_map"]


def test_two_passes_add_up(trial):
    put_design(trial)
    put_zones(trial.field / "applied" / "zones.gpkg")
    put_done(trial, f",1,{DAY},{PRODUCT_NAME},typed", f",2,2026-07-30,{PRODUCT_NAME},typed")
    found = ground(trial)
    assert alike(found.treated, FIELD - ground_of_strips("untreated"))
    assert found.treated_on == (date(2026, 7, 24), date(2026, 7, 30))


def test_a_pass_before_the_strips_were_laid_sprayed_them_too(trial):
    put_design(trial)
    put_done(trial, f",,2026-07-07,{PRODUCT_NAME},typed")
    found = ground(trial)
    assert alike(found.treated, FIELD)
    assert "before_strips" in codes(found)


def test_another_product_and_another_season_do_not_count(trial):
    put_design(trial)
    put_done(
        trial,
        f",,{DAY},Other Stuff,typed",
        f",,2025-07-20,{PRODUCT_NAME},typed",
        f",,2026-11-20,{PRODUCT_NAME},typed",
    )
    (fault,) = refusal(trial)
    assert fault.what == f"nothing is on record as sprayed with {PRODUCT_NAME}"
    put_done(trial, ",,2026-07-28,Other Stuff,typed", f",,{DAY},{PRODUCT_NAME.upper()},typed")
    found = ground(trial)
    assert found.treated_on == (date(2026, 7, 24),)
    assert "other_product" in codes(found)


def test_a_zone_that_is_not_there_is_refused(trial):
    put_design(trial)
    put_zones(trial.field / "applied" / "zones.gpkg")
    put_done(trial, f",7,{DAY},{PRODUCT_NAME},typed")
    (fault,) = refusal(trial)
    assert fault.what == "it says that zone 7 was sprayed, and the field has zones 1, 2"


# -- by the machine ------------------------------------------------------------------------------------------


def test_what_the_machine_wrote_as_laid_gives_the_same_as_done(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    by_done = ground(trial)
    file = put_applied(trial, FIELD - ground_of_strips("untreated"))
    by_machine = ground(trial, applied=file)
    assert (by_machine.source, by_machine.treated_source) == ("design", "as-applied")
    assert alike(by_machine.treated, by_done.treated)
    for name in ("header_m", "step_m", "headland_m", "width_m", "heading_deg"):
        assert getattr(by_machine, name) == getattr(by_done, name)
    assert by_machine.treated_on == by_done.treated_on
    assert "by_done" not in codes(by_machine)


def test_by_machine_or_by_done_the_pairs_are_the_same(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    by_done = ground(trial)
    by_machine = ground(trial, applied=put_applied(trial, FIELD - ground_of_strips("untreated")))
    points, track = driven(by_done)
    rng = np.random.default_rng(5)
    cleaned = cleaned_as(rng.normal(60, 4, points.count), track=track)
    one, other = (
        paired(points, cleaned, place(points, cleaned, known), known) for known in (by_done, by_machine)
    )
    assert [pair.why_not for pair in one.pairs] == [None, None]
    for pair, same in zip(one.pairs, other.pairs, strict=True):
        assert pair.difference_bu_ac == pytest.approx(same.difference_bu_ac)
        assert (pair.points, pair.length_m) == (same.points, pytest.approx(same.length_m))


def test_a_strip_that_the_machine_sprayed_by_mistake_is_sprayed(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial, applied=put_applied(trial, FIELD - strips_laid()[0].outline))
    dry, _, sprayed, _ = (
        (one.outline & FIELD & found.treated).area / (one.outline & FIELD).area for one in found.strips
    )
    assert dry == pytest.approx(0, abs=0.01)
    assert sprayed == pytest.approx(1, abs=0.01)


def test_the_file_that_done_kept_is_found_and_seams_are_closed(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},applied/{DAY}_rig.geojson; plan {RUN_ID[:8]}: zones")
    seam = box(WEST + 40, SOUTH, WEST + 40.3, NORTH)
    put_applied(trial, FIELD - ground_of_strips("untreated") - seam, f"applied/{DAY}_rig.geojson")
    put_applied(trial, FIELD, "applied/2026-06-01_other.geojson")
    found = ground(trial)
    assert found.treated_source == "as-applied"
    assert alike(found.treated, FIELD - ground_of_strips("untreated"))
    assert f"applied/{DAY}_rig.geojson" in found.files
    assert "not_named" in codes(found)  # the other one is no pass of done.csv


def test_a_kept_file_that_is_lost_is_said(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},applied/{DAY}_rig.geojson")
    (fault,) = refusal(trial)
    assert fault.what == f"it names applied/{DAY}_rig.geojson, and there is no such file"


def test_passes_with_and_without_a_file_are_put_together(trial):
    put_design(trial)
    put_zones(trial.field / "applied" / "zones.gpkg")
    put_applied(trial, ZONES[1] - ground_of_strips("untreated"), f"applied/{DAY}_rig.geojson")
    put_done(
        trial,
        f",1,{DAY},{PRODUCT_NAME},applied/{DAY}_rig.geojson",
        f",2,2026-07-30,{PRODUCT_NAME},typed",
    )
    found = ground(trial)
    assert alike(found.treated, FIELD - ground_of_strips("untreated"))
    assert "rest_by_done" in codes(found)


def test_the_machine_and_done_may_disagree(trial):
    put_design(trial)
    put_zones(trial.field / "applied" / "zones.gpkg")
    put_done(trial, f",1 2,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial, applied=put_applied(trial, ZONES[1]))
    assert "file_over_done" in codes(found)
    assert alike(found.treated, ZONES[1])


def test_a_machine_s_file_without_a_pass_has_no_day(trial):
    put_design(trial)
    found = ground(trial, applied=put_applied(trial, FIELD - ground_of_strips("untreated")))
    assert found.treated_on == ()
    assert "no_day" in codes(found)


def test_what_the_machine_s_file_may_lack_is_asked_for(trial):
    put_design(trial)
    (fault,) = refusal(trial, applied=trial.field / "no.shp")
    assert (fault.code, fault.what) == (2, "there is no such file")
    trial.shapes("rig.geojson", [FIELD], [{"Rt": 15.0}])
    (fault,) = refusal(trial, applied=trial.field / "rig.geojson")
    assert "--rate-column" in fault.mend
    settings, given = inputs_of(trial)
    found = ground_of(settings, given, AFTER, applied=trial.field / "rig.geojson", rate_column="Rt")
    assert "rate_unit" in codes(found)


# -- designs that cannot be used -----------------------------------------------------------------------------


@pytest.mark.parametrize("wrong", [{"season": 2025}, {"east_m": 5000.0}])
def test_a_design_of_another_season_or_field_is_not_used(trial, wrong):
    put_design(trial, **wrong)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    (fault,) = refusal(trial)
    assert fault.code == 3
    assert fault.what.startswith("there are no strips of 2026 in the field; ")
    assert "strips/design.geojson" in fault.what


def test_no_design_at_all(trial):
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    (fault,) = refusal(trial)
    assert fault.what == "there are no strips of 2026 in the field"
    assert "--strips" in fault.mend


def test_the_header_is_asked_for_with_everything_else(tmp_path):
    made = Folder(tmp_path / "farm")
    made.shapes("boundary.geojson", [FIELD])
    trial_folder(made, harvest="")
    put_design(made)
    header, nothing = refusal(made)
    assert header.code == 2
    assert "header" in header.what
    assert nothing.code == 3
    put_done(made, f",,{DAY},{PRODUCT_NAME},typed")
    (fault,) = refusal(made)
    assert fault.code == 2


# -- days ----------------------------------------------------------------------------------------------------


def test_points_of_before_the_pass_or_of_the_future_are_refused(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial)
    check_days(points_at([0], [0], harvested=(date(2026, 10, 1), date(2026, 10, 3))), found, AFTER)
    check_days(points_at([0], [0]), found, AFTER)  # a file without times
    for days, told in (
        ((date(2026, 7, 24), date(2026, 10, 3)), "the field was sprayed on 2026-07-24"),
        ((date(2026, 10, 1), date(2026, 10, 11)), "after 2026-10-10"),
    ):
        with pytest.raises(InputError) as error:
            check_days(points_at([0], [0], harvested=days), found, AFTER)
        assert told in error.value.what
        assert error.value.code == 3


def test_everything_lies_in_the_plane_of_the_field(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    _, given = inputs_of(trial)
    assert given.grid.epsg == EPSG
    found = ground(trial)
    assert alike(found.crop, FIELD)
    for laid, one in zip(strips_laid(), found.strips, strict=True):
        assert alike(laid.outline, one.outline)
