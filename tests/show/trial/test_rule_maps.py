"""Small maps of what each rule of cleaning took: one for each rule that took a point, at the right places."""

import base64
import io
import re

import numpy as np
import pytest
from made_trials import CASES, made_trial
from PIL import Image

from zoning.show.trial import page
from zoning.show.trial.ground import ground
from zoning.show.trial.rule_maps import rule_map


def spots_of(svg: str) -> np.ndarray:
    picture = re.search(r'href="data:image/png;base64,([^"]+)"', svg)[1]
    return np.asarray(Image.open(io.BytesIO(base64.b64decode(picture))).convert("RGBA"))[:, :, 3] > 0


def size_of(svg: str) -> tuple[float, float]:
    found = re.search(r'<image [^>]*width="([^"]+)" height="([^"]+)"', svg)
    return float(found[1]), float(found[2])


@pytest.mark.parametrize("case", ["paid", "cannot tell"])
def test_each_rule_that_took_a_point_has_a_map_on_the_page(case):
    result = made_trial(CASES[case])
    took = [one for one in result.rules if one.removed]
    text = page.text(result)
    part = text.split('id="rule-maps"')[1].split("</section>")[0]
    assert part.count("<figure>") == len(took) > 0


def test_spots_lie_where_the_points_are():
    result = made_trial(CASES["paid"])
    drawing = ground(result).drawing
    for place, one in enumerate(result.rules):
        if not one.removed:
            continue
        svg = rule_map(result, place, "a rule")
        marks = spots_of(svg)
        wide_m, high_m = size_of(svg)
        mine = result.points.removed_by == place + 1
        x = (result.points.east_m[mine] - drawing.west_m) / wide_m * marks.shape[1]
        y = (drawing.north_m - result.points.north_m[mine]) / high_m * marks.shape[0]
        inside = (x >= 0) & (y >= 0) & (x < marks.shape[1]) & (y < marks.shape[0])
        want = {(int(row), int(column)) for row, column in zip(y[inside], x[inside], strict=True)}
        got = set(zip(*(axis.tolist() for axis in np.nonzero(marks)), strict=True))
        # a point on the edge of a spot may fall into its neighbour by the rounding of the picture's size
        assert len(want ^ got) <= 0.1 * len(want) + 1
        assert f"{one.removed:,} points" in svg
