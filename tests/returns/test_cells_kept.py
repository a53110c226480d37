"""What a plan for whole zones keeps of a plan for every cell."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.returns.cells import kept_frac
from zoning.returns.terms import Priced


def priced(net_usd_ac, worth_it=None):
    net = np.array(net_usd_ac, dtype=float)[:, :, None]
    rule = net > 0 if worth_it is None else np.array(worth_it)[:, :, None]
    return Priced(
        zones=tuple(range(1, len(net) + 1)),
        days=np.arange(net.shape[1]),
        volumes_gal_ac=(15.0,),
        net_usd_ac=net,
        chance_frac=np.where(np.isnan(net), np.nan, 0.5),
        passes_rule=rule & ~np.isnan(net),
    )


def test_by_hand_one_zone_for_two_kinds_of_ground():
    # 30 ac that return 12 USD/ac and 10 ac that lose 4: cell by cell 30 x 12 = 360; the zone is sprayed for
    # its mean of 8 and gets 360 - 40 = 320: 320 / 360
    assert kept_frac(priced([[8.0]]), priced([[12.0], [-4.0]]), np.array([[30.0, 10.0]])) == pytest.approx(
        320 / 360
    )


def test_by_hand_two_zones_that_are_the_two_kinds_keep_all():
    kinds = priced([[12.0], [-4.0]])
    assert kept_frac(kinds, kinds, np.array([[30.0, 0.0], [0.0, 10.0]])) == 1


def test_by_hand_a_zone_goes_on_its_own_best_day():
    # kind 1 pays 10 on the first day and 2 on the second, kind 2 pays 0.5 and 6; the zone takes the second
    # day: 10 ac x 2 + 10 ac x 6 = 80 of 10 x 10 + 10 x 6 = 160
    kinds = priced([[10.0, 2.0], [0.5, 6.0]])
    assert kept_frac(priced([[3.0, 4.0]]), kinds, np.array([[10.0, 10.0]])) == pytest.approx(0.5)


def test_by_hand_a_skipped_zone_keeps_nothing_of_its_good_ground():
    # the zone is skipped; 5 ac of it would have paid 8, and another zone of 5 ac that pays 8 is sprayed: half
    zones, kinds = priced([[-1.0], [8.0]]), priced([[8.0], [-10.0]])
    assert kept_frac(zones, kinds, np.array([[5.0, 5.0], [5.0, 0.0]])) == pytest.approx(0.5)


def test_where_nothing_pays_nothing_is_lost():
    assert kept_frac(priced([[-3.0]]), priced([[-2.0], [-4.0]]), np.array([[1.0, 1.0]])) == 1


def test_a_zone_sprayed_at_a_loss_keeps_less_than_nothing():
    # the plan takes the zone for ground that pays 5; what is there loses 5 on 9 of 10 ac: (1 x 5 - 9 x 5) / 5
    assert kept_frac(priced([[5.0]]), priced([[5.0], [-5.0]]), np.array([[1.0, 9.0]])) == pytest.approx(-8)


def test_days_that_no_draw_supports_are_no_option():
    kinds = priced([[np.nan, 4.0], [np.nan, 2.0]])
    assert kept_frac(priced([[np.nan, 3.0]]), kinds, np.array([[1.0, 1.0]])) == 1


@given(
    st.lists(st.floats(-50, 50), min_size=1, max_size=6),
    st.lists(st.floats(0.1, 100), min_size=6, max_size=6),
)
def test_zones_that_are_the_kinds_keep_all_whatever_they_return(net, areas):
    kinds = priced([[one] for one in net])
    kept = kept_frac(kinds, kinds, np.diag(areas[: len(net)]))
    assert kept == pytest.approx(1)


@given(
    st.lists(st.floats(-50, 50), min_size=4, max_size=4), st.lists(st.floats(-50, 50), min_size=2, max_size=2)
)
def test_no_plan_for_zones_keeps_more_than_the_plan_for_cells(of_kinds, of_zones):
    kinds, zones = priced([[one] for one in of_kinds]), priced([[one] for one in of_zones])
    assert kept_frac(zones, kinds, np.array([[1.0, 2, 0, 1], [0, 1, 3, 1]])) <= 1 + 1e-12
