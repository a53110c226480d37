"""The page of a farm from a real run: links lead to the fields, total and range are those of the plans."""

import json
import re
import shutil
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from made_demo import HERON_SLOUGH, TODAY

from zoning import farm
from zoning.show import farm_page
from zoning.show.figures import dollars

FIELDS = ("wet_corner", "point_rows", "level_eighty")


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """Three fields of the demo farm, run together."""
    folder = tmp_path_factory.mktemp("farm") / "heron_slough"
    shutil.copytree(HERON_SLOUGH, folder, ignore=shutil.ignore_patterns("out", "three_dates", "gravel_forty"))
    return folder, farm.run(folder, today=TODAY, pictures=True)


def test_links_lead_to_the_fields(ran):
    folder, result = ran
    page = farm_page.text(result.plan)
    links = set(re.findall(r'href="(\.\./[^"]*)"', page))
    assert len(links) == len(FIELDS)
    for link in links:
        target = (folder / "out" / link).resolve()
        assert target.name == "page.html"
        assert target.is_file()
        assert target.parent.parent.name in FIELDS


def test_an_example_is_of_its_own_day_whatever_the_clock_says(tmp_path):
    others = shutil.ignore_patterns("out", "three_dates", "gravel_forty", "level_eighty", "wet_corner")
    shutil.copytree(HERON_SLOUGH, tmp_path / "farm", ignore=others)  # `as_of` stands in its farm.toml
    plan = farm.run(tmp_path / "farm", clock=date(2026, 12, 24)).plan
    assert {plan.today, *(one.today for one in plan.plans)} == {TODAY}


def test_total_is_that_of_farm_json(ran):
    folder, result = ran
    told = json.loads((folder / "out" / "farm.json").read_text(encoding="utf-8"))
    page = farm_page.text(result.plan)
    totals = {
        name: re.search(rf'id="t-{name}">([^<]*)', page)[1].strip() for name in ("spray", "skip", "net")
    }
    assert totals == {
        "spray": f"{told['totals']['spray_ac']:.1f}",
        "skip": f"{told['totals']['skip_ac']:.1f}",
        "net": dollars(told["totals"]["net_usd"]),
    }


def test_range_of_the_farm_is_of_its_fields_added_up_season_by_season(ran):
    plan = ran[1].plan
    sprayed = [one.totals for one in plan.plans if one.totals.spray_ac]
    assert len(sprayed) == 2
    draws = np.sum([one.net_draws_usd for one in sprayed], axis=0)
    assert draws.mean() == pytest.approx(sum(one.net_usd for one in sprayed), abs=0.01)
    ordered = np.sort(draws)  # quantiles by hand: linear between the two draws that they fall between
    for share, found in ((0.1, plan.net_p10_usd), (0.9, plan.net_p90_usd)):
        place = share * (len(ordered) - 1)
        low = int(place)
        by_hand = ordered[low] + (place - low) * (ordered[low + 1] - ordered[low])
        assert found == pytest.approx(by_hand)
    assert plan.chance_pays == np.mean(draws > 0)
    # fields share their seasons: their draws go together
    width = plan.net_p90_usd - plan.net_p10_usd
    of_fields = [one.net_p90_usd - one.net_p10_usd for one in sprayed]
    assert max(of_fields) < width <= sum(of_fields) * (1 + 1e-9)
    assert np.corrcoef([one.net_draws_usd for one in sprayed])[0, 1] > 0.3


def test_every_file_of_both_folders_is_in_the_reference(ran):
    folder, _ = ran
    told = (Path(__file__).parents[2] / "docs" / "reference" / "files.md").read_text(encoding="utf-8")
    for out in (folder / "out", folder / FIELDS[0] / "out"):
        for one in out.iterdir():
            ending = f"`{one.suffix}`" if one.stem == "prescription" else f"`{one.name}"
            assert ending in told, one.name
