"""Names of many letters without a blank: nothing runs over the edge of a phone."""

from dataclasses import replace

import pytest
from browser import DESK, PHONE
from made_plans import Made, made_plan, smooth_field, with_scouting

from zoning.show import page

LONG = "W" * 400


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_names_without_a_blank_stay_on_the_page(open_page, tmp_path, size):
    labels, blocks = smooth_field(3, shape=(20, 20))
    made = Made(labels, blocks, cell_m=30, pass_of_zone={1: 1, 3: 1, 4: 2}, field=LONG, farm=LONG)
    plan = with_scouting(made_plan(made), counted=[1])
    plan = replace(
        plan,
        product=LONG,
        zones=tuple(replace(one, name=LONG) for one in plan.zones),
        passes=tuple(replace(one, sprayer=LONG) for one in plan.passes),
        scouting=tuple(
            replace(one, text=LONG, note=LONG, photo=LONG, observer=LONG) for one in plan.scouting
        ),
    )
    path = tmp_path / "page.html"
    page.write(plan, path)
    opened = open_page(path, size)
    opened.page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    opened.check_quiet()
