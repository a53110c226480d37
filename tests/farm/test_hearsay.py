"""What a field hears of others is named by all that may move its plan, and by nothing else."""

from dataclasses import replace

import numpy as np
import pytest

from zoning.farm.hearsay import heard_digest, hearsay
from zoning.seen import SeenCounts
from zoning.stage.counted import Heard
from zoning.stage.likelihood import GRID
from zoning.stage.posterior import Place
from zoning.words import Said


def told(variety, field):
    place = Place(variety=variety, field=field, zone="block 1", sd_d=4.0)
    return Heard(place=place, log_likelihood=-(GRID**2) / 2)


@pytest.fixture
def seen(tmp_path):
    heard = (told("early", "North"), told("late", "South"))
    return SeenCounts(heard=heard, folders=(tmp_path / "north", tmp_path / "south"))


def digests(seen, farm):
    of_farm = hearsay(seen, farm)
    return [heard_digest([variety], of_farm) for variety in ("early", "late", "unheard of")]


def test_a_count_is_heard_by_its_variety_alone(seen, tmp_path):
    before = digests(seen, tmp_path)
    more = replace(seen.heard[1], log_likelihood=np.zeros(len(GRID)))
    after = digests(replace(seen, heard=(seen.heard[0], more)), tmp_path)
    assert [one == other for one, other in zip(before, after, strict=True)] == [True, False, True]


def test_a_note_is_heard_by_all(seen, tmp_path):
    note = Said("seen.not_read", field="east", why="no planting")
    before, after = digests(seen, tmp_path), digests(replace(seen, notes=(note,)), tmp_path)
    assert all(one != other for one, other in zip(before, after, strict=True))


@pytest.mark.parametrize("where", ["season.csv", "west/season.csv"])
def test_names_count_for_all_where_past_seasons_are_told_by_them(seen, tmp_path, where):
    renamed = replace(seen, heard=(seen.heard[0], told("late", "Far South")))
    assert digests(seen, tmp_path)[0] == digests(renamed, tmp_path)[0]
    (tmp_path / where).parent.mkdir(exist_ok=True)
    (tmp_path / where).write_text("season,field\n")
    assert digests(seen, tmp_path)[0] != digests(renamed, tmp_path)[0]
