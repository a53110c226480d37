"""What did not change since the last run is not made again; what did is."""

import re
import shutil

import pytest
from made_small_farm import DAY, FIELDS, STRIPS, small_farm
from read_results import results

from zoning import farm
from zoning import field as one_field
from zoning.errors import InputError
from zoning.farm import of_fields
from zoning.farm.asked import Asked, ToSettle


@pytest.fixture
def counted(monkeypatch):
    """Count what is made: offers, plans and files, by field."""
    made = {"offer": [], "settle": [], "write": []}

    def watch(name, of):
        real = getattr(one_field, name)

        def counting(*given, **named):
            made[name].append(of(*given))
            return real(*given, **named)

        monkeypatch.setattr(one_field, name, counting)

    watch("offer", lambda folder: folder.name)
    watch("settle", lambda offer, _chosen: offer.settings.folder.name)
    watch("write", lambda _run, out: out.parent.name)
    return made


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A farm that was run once; its check strips lie."""
    folder = small_farm(tmp_path_factory.mktemp("farm") / "farm")
    farm.run(folder, today=DAY)
    return folder


@pytest.fixture
def again(made, tmp_path):
    """The same in another place, where it was run once too: an offer belongs to its place."""
    copy = shutil.copytree(made, tmp_path / "farm")
    farm.run(copy, today=DAY)
    return copy


def test_a_second_run_makes_nothing_and_changes_nothing(again, counted):
    before = results(again)
    stamps = {name: (again / name).stat().st_mtime_ns for name in before if "/out/" in name}
    run = farm.run(again, today=DAY)
    assert counted == {"offer": ["q00006"], "settle": [], "write": []}  # a broken field has no offer to keep
    assert results(again) == before
    assert {name: (again / name).stat().st_mtime_ns for name in stamps} == stamps
    assert len(run.plans) == FIELDS - 1


def test_strips_that_a_run_laid_are_an_input_of_the_next(made, counted, tmp_path):
    fresh = small_farm(tmp_path / "farm")
    farm.run(fresh, today=DAY)
    first = results(fresh)
    for name in counted:
        counted[name].clear()
    farm.run(fresh, today=DAY)
    assert counted["offer"] == [STRIPS[0], "q00006", STRIPS[1]]
    assert counted["settle"] == [*STRIPS]
    assert counted["write"] == []  # the plan is the same: it knew where they would lie
    assert results(fresh) == first


def test_recompute_makes_all_and_the_same(again, counted):
    before = results(again)
    farm.run(again, today=DAY, recompute=True)
    assert results(again) == before
    assert len(counted["offer"]) == FIELDS
    assert len(counted["settle"]) == len(counted["write"]) == FIELDS - 1


def test_an_offer_that_another_run_put_there_is_not_settled(made):
    asked = Asked(farm=made, today=DAY, clock=None, seed=0, recompute=True)
    task = ToSettle(folder=made / "q00001", offer="another", chosen=None, hours=None, schedule="farm")
    with pytest.raises(InputError, match="gone or another"):
        of_fields.settled(task, asked)


def test_a_changed_field_is_made_again_and_its_neighbours_only_where_they_feel_it(again, counted):
    settings = again / "q00002" / "field.toml"
    text = settings.read_text()
    settings.write_text(re.sub('expected_yield = "[^"]*"', 'expected_yield = "31 bu/ac"', text))
    assert settings.read_text() != text
    farm.run(again, today=DAY)
    assert counted["offer"] == ["q00002", "q00006"]
    assert "q00002" in counted["settle"]
    assert len(counted["settle"]) < FIELDS - 1


def test_another_price_today_or_seed_makes_all_again(again, counted):
    text = (again / "farm.toml").read_text()
    dearer = re.sub('adjuvant = "[^"]*"', 'adjuvant = "4.44 USD/ac"', text)
    assert dearer != text
    (again / "farm.toml").write_text(dearer)
    farm.run(again, today=DAY)
    assert len(counted["offer"]) == FIELDS
    counted["offer"].clear()
    farm.run(again, today=DAY, seed=1)
    assert len(counted["offer"]) == FIELDS
    counted["offer"].clear()
    farm.run(again, today=DAY.replace(day=9), seed=1)
    assert len(counted["offer"]) == FIELDS


def test_an_offer_of_settings_that_changed_meanwhile_is_not_taken_for_one_of_those_before(
    again, counted, monkeypatch
):
    before, settings = results(again), again / "q00002" / "field.toml"
    text, counting = settings.read_text(), one_field.offer

    def while_somebody_writes(folder, **named):
        if folder.name == "q00002":
            settings.write_text(re.sub('expected_yield = "[^"]*"', 'expected_yield = "31 bu/ac"', text))
        return counting(folder, **named)

    with monkeypatch.context() as patched:
        patched.setattr(one_field, "offer", while_somebody_writes)
        farm.run(again, today=DAY, recompute=True)
    assert results(again) != before
    settings.write_text(text)
    counted["offer"].clear()
    farm.run(again, today=DAY)
    assert counted["offer"] == ["q00002", "q00006"]
    assert results(again) == before


def test_a_file_of_a_result_that_somebody_changed_is_written_again(again, counted):
    before = results(again)
    (again / "q00001" / "out" / "plan.json").write_text("{}")
    (again / "q00004" / "out" / "zones.gpkg").unlink()
    farm.run(again, today=DAY)
    assert counted["write"] == ["q00001", "q00004"]
    assert results(again) == before


def test_what_is_kept_may_be_gone_or_broken(again, counted):
    before = results(again)
    kept = again / of_fields.KEPT
    (kept / "q00001.offer.npz").unlink()
    (kept / "q00002.offer.npz").write_bytes(b"no offer")
    whole = (kept / "q00004.offer.npz").read_bytes()
    (kept / "q00004.offer.npz").write_bytes(whole[:-10])
    (kept / "q00005.plan.npz").write_bytes(whole)  # of another kind
    farm.run(again, today=DAY)
    assert counted["offer"] == ["q00001", "q00002", "q00004", "q00006"]
    assert counted["settle"] == ["q00005"]
    assert results(again) == before


def test_pictures_come_only_when_they_are_asked_for_and_go_again(again):
    plain = results(again)
    farm.run(again, today=DAY, pictures=True)
    assert (again / "q00001" / "out" / "page.html").exists()
    assert (again / "q00001" / "out" / "sheet.pdf").exists()
    farm.run(again, today=DAY)
    assert results(again) == plain
    assert not (again / "q00001" / "out" / "page.html").exists()


def test_what_is_kept_of_a_field_that_is_gone_goes_too(again):
    shutil.rmtree(again / "q00014")
    farm.run(again, today=DAY)
    assert not list((again / of_fields.KEPT).glob("q00014*"))
    assert list((again / of_fields.KEPT).glob("q00013*"))
