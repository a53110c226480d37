"""A pass has one number of loads: that of its load sheet, on the page and in every file."""

import math

import pytest
from made_demo import TODAY, three_dates

from zoning import field


@pytest.mark.parametrize("overage_gal", [12, 400])
def test_by_hand_overage_that_makes_one_load_more_is_in_the_loads_of_the_pass(tmp_path, overage_gal):
    folder = three_dates(tmp_path)
    farm_file = folder.parent / "farm.toml"
    given = farm_file.read_text()
    assert 'tank = "1000 gal"\noverage = "12 gal"' in given
    farm_file.write_text(given.replace('overage = "12 gal"', f'overage = "{overage_gal} gal"'))
    made = field.run(folder, today=TODAY, seed=1)
    assert made.plan.passes
    for one, written in zip(made.plan.passes, field.as_object(made)["passes"], strict=True):
        # mix = acres x rate + overage, in tanks of 1000 gal
        loads = math.ceil((one.area_ac * one.rate_gal_ac + overage_gal) / 1000)
        assert one.loads == loads == one.sheet.loads
        assert written["loads"] == loads
        assert written["load_sheet"]["full_loads"] + 1 == loads
    without = [math.ceil(one.area_ac * one.rate_gal_ac / 1000) for one in made.plan.passes]
    more = any(few < one.loads for few, one in zip(without, made.plan.passes, strict=True))
    assert more == (overage_gal == 400)
