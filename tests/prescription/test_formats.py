"""One round trip over the table of formats: what is written covers the field, whatever its zones are."""

import tempfile
from pathlib import Path

import fiona
import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from made_plans import Made, acres, made_plan
from shapely.geometry import shape

from zoning.prescription.formats import FORMATS, write_all

LABELS = arrays(np.int64, st.tuples(st.integers(1, 6), st.integers(1, 6)), elements=st.integers(0, 5)).filter(
    lambda table: table.max() > 0
)
PLANS = st.builds(
    Made,
    labels=LABELS,
    pass_of_zone=st.dictionaries(st.integers(1, 5), st.integers(1, 3), max_size=5),
    level=st.sampled_from([1, 2, 3]),
    units=st.sampled_from(["us", "metric"]),
    epsg=st.sampled_from([32615, 32720]),
    origin_m=st.sampled_from([(270_000.0, 4_900_000.0), (730_000.0, 6_400_000.0)]),
    cell_m=st.sampled_from([10.0, 55.0]),
)


def layers_of(path):
    for layer in fiona.listlayers(path):
        if layer == "layer_styles":  # a table without shapes
            continue
        with fiona.open(path, layer=layer) as file:
            yield layer, [(shape(feature.geometry), dict(feature.properties)) for feature in file]


@pytest.mark.parametrize("one", FORMATS, ids=lambda one: one.name)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(made=PLANS)
def test_round_trip(one, made):
    plan = made_plan(made)
    with tempfile.TemporaryDirectory() as place:
        names = one.write(plan, Path(place))
        written = {path.relative_to(place).as_posix() for path in Path(place).rglob("*") if path.is_file()}
        assert set(names) == written
        for name in names:
            if not name.endswith((".shp", ".gpkg")):
                continue
            for layer, rows in layers_of(Path(place) / name):
                shapes = [outline for outline, _ in rows]
                assert all(outline.is_valid for outline in shapes)
                sum_ac = sum(acres(outline) for outline in shapes)
                wanted = plan.area_ac
                if layer == "passes":
                    wanted = sum(visit.area_ac for visit in plan.passes)
                assert sum_ac == pytest.approx(wanted, rel=1e-4)
                assert shapely.coverage_is_valid(shapes)
                check_rates(plan, rows)


def check_rates(plan, rows):
    """Rates of every row are the plan's own, in the unit that the column names."""
    factor = {"RATE_GPA": 1.0, "RATE_LHA": 9.353956, "rate_gal_ac": 1.0, "rate_l_ha": 9.353956}
    allowed = {0.0, *(visit.rate_gal_ac for visit in plan.passes)}
    for _, row in rows:
        for column in factor.keys() & row.keys():
            rate = (row[column] or 0.0) / factor[column]
            assert min(abs(rate - one) for one in allowed) < 0.0016


def test_write_all_names_every_file(tmp_path):
    plan = made_plan(Made(labels=[[1, 2], [3, 3]]))
    names = write_all(plan, tmp_path)
    # two sets of five, zones.gpkg, and of the pass GeoJSON, GeoPackage and TASKDATA; the prescription's two
    # styles; three rasters, each with two styles; README and zip of the pass
    assert len(names) == len(set(names)) == 14 + 2 + 9 + 2
    assert all((tmp_path / name).stat().st_size > 0 for name in names)
