"""Strips that were really harvested: nitrogen for maize over four slope positions in Argentina, two years.

A strip without nitrogen and one with a rate, of one replicate, are taken for a pair; slope positions for
zones. Anselin, Bongiovanni and Lowenberg-DeBoer 2004, "A spatial econometric approach to the economics of
site-specific nitrogen management in corn production", American Journal of Agricultural Economics 86:675-687,
doi 10.1111/j.0002-9092.2004.00610.x. Yields in quintals a hectare stand where ours are bu/ac.
"""

import os
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from esda import Moran
from libpysal.weights import KNN
from made_strip_points import strip_points
from mixed_witness import check_sds
from pyproj import Transformer
from scipy import stats
from statsmodels.formula.api import wls

from zoning.strips.answer.by_zone import by_zone
from zoning.strips.answer.mixed import Layout
from zoning.strips.answer.response import response
from zoning.strips.answer.spatial import spatial
from zoning.strips.terms import PairSeen, ZonePart

UTM_20_SOUTH = 32720
RATES = ("N1", "N2", "N3", "N4", "N5")
YEARS = (1999, 2001)


@pytest.fixture(scope="module")
def points() -> pd.DataFrame:
    folder = os.environ.get("SPRAYWORTH_REFERENCE")
    if not folder:
        pytest.skip("SPRAYWORTH_REFERENCE is not set: the folder with strips/lasrosas.csv")
    path = Path(folder) / "strips" / "lasrosas.csv"
    if not path.exists():
        pytest.skip("strips/lasrosas.csv is not in SPRAYWORTH_REFERENCE")
    found = pd.read_csv(path)
    found["pair"] = found.rep.str[1:].astype(int)
    found["zone"] = pd.Categorical(found.topo).codes + 1
    return found


def _seen(points: pd.DataFrame, year: int, rate: str) -> tuple[list[PairSeen], list[ZonePart]]:
    """Pairs and their parts; a part is as long as it has points."""
    mine = points[(points.year == year) & points.nf.isin(["N0", rate])]
    of_part = mine.groupby(["pair", "zone", "nf"])["yield"].agg(["mean", "size"]).unstack("nf")
    parts = [
        ZonePart(
            pair=pair,
            zone=zone,
            length_m=float(row["size"].mean()),
            points=int(row["size"].sum()),
            treated_bu_ac=row["mean"][rate],
            untreated_bu_ac=row["mean"]["N0"],
        )
        for (pair, zone), row in of_part.iterrows()
    ]
    pairs = []
    for pair in sorted({one.pair for one in parts}):
        ours = [one for one in parts if one.pair == pair]
        length = np.array([one.length_m for one in ours])
        pairs.append(
            PairSeen(
                pair=pair,
                length_m=float(length.sum()),
                points=sum(one.points for one in ours),
                treated_bu_ac=float(length @ [one.treated_bu_ac for one in ours] / length.sum()),
                untreated_bu_ac=float(length @ [one.untreated_bu_ac for one in ours] / length.sum()),
                moisture_difference_frac=float("nan"),
            )
        )
    return pairs, parts


@pytest.mark.parametrize(
    ("year", "count", "coefficients"),
    [
        (1999, 1738, ("59.2533", "0.113007", "-0.000320")),
        (2001, 1705, ("71.1191", "0.097091", "-0.000378")),
    ],
)
def test_published_response_to_nitrogen_of_all_points(points, year, count, coefficients):
    # the regression of yield on nitrogen and its square; what follows stands on the same points
    mine = points[points.year == year]
    assert len(mine) == count
    found = np.polynomial.Polynomial.fit(mine.nitro, mine["yield"], 2).convert().coef
    for ours, printed in zip(found, coefficients, strict=True):
        assert ours == pytest.approx(float(printed), abs=0.5 * 10.0 ** -len(printed.partition(".")[2]))


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize("rate", RATES)
def test_witness_pairs_and_zones(points, year, rate):
    pairs, parts = _seen(points, year, rate)
    whole = response(pairs, None)
    found = by_zone(parts, whole, None)
    theirs = stats.ttest_1samp([one.difference_bu_ac for one in pairs], 0.0)
    assert (whole.low_bu_ac, whole.high_bu_ac) == pytest.approx(tuple(theirs.confidence_interval(0.90)))
    table = pd.DataFrame(
        [(one.pair, one.zone, one.length_m, one.difference_bu_ac) for one in parts],
        columns=["pair", "zone", "length", "d"],
    )
    assert len(table) == 12  # three replicates, four slope positions
    both = wls("d ~ C(pair) + C(zone)", table, weights=table.length).fit()
    _, p, _ = both.compare_f_test(wls("d ~ C(pair)", table, weights=table.length).fit())
    assert found.differ_p == pytest.approx(p)
    weight = (table.length / table.length.mean()).to_numpy()
    layout = Layout(zone=table.zone.to_numpy() - 1, pair=table.pair.to_numpy() - 1, weight=weight)
    check_sds(layout, table.d.to_numpy(), (found.zone_sd_bu_ac, found.pair_sd_bu_ac, found.rest_sd_bu_ac))
    for one in found.zones:
        print(
            f"{year} {rate} slope position {one.zone}: {one.seen_bu_ac:.1f} seen, {one.mean_bu_ac:.1f} "
            f"({one.low_bu_ac:.1f} to {one.high_bu_ac:.1f}); differ: p {found.differ_p:.4f}"
        )


@pytest.mark.parametrize("year", YEARS)
def test_points_of_a_strip_are_no_repeats(points, year):
    mine = points[(points.year == year) & points.nf.isin(["N0", "N3"])]
    east, north = Transformer.from_crs(4326, UTM_20_SOUTH, always_xy=True).transform(mine.long, mine.lat)
    treated = (mine.nf == "N3").to_numpy()
    track = 2 * mine.pair.to_numpy() + treated
    said = spatial(
        *strip_points(
            mine["yield"].to_numpy(),
            mine.pair.to_numpy(),
            treated,
            mine.zone.to_numpy(dtype=np.int64),
            np.asarray(east),
            np.asarray(north),
            track,
        )
    )
    left = mine["yield"] - mine.groupby(["pair", "nf", "zone"])["yield"].transform("mean")
    weights = KNN.from_array(np.column_stack([east, north]), k=8)
    weights.transform = "r"
    assert said.morans_i == pytest.approx(Moran(left.to_numpy(), weights, permutations=0).I)
    print(
        f"{year}: I {said.morans_i:.3f} to {said.range_m:.0f} m, {said.points} worth {said.worth_points:.0f}"
    )
    assert said.morans_i > 0.1
    assert said.worth_points < 0.5 * said.points
