"""Which swaths are driven, and whose wheel tracks can still be avoided."""

import numpy as np
import pytest

from zoning.passes.driven import driven, driven_anyway_frac, driven_off_ac, swath_loss_usd
from zoning.passes.problem import FieldProblem

# Zone 1 lies on the first of two swaths, zone 2 in halves on both, zone 3 on the second.
SWATHS = np.array([[4.0, 1.0, 0.0], [0.0, 1.0, 2.0]])


def field(area_ac=(4.0, 2.0, 2.0)) -> FieldProblem:
    return FieldProblem(
        field="home",
        zones=(1, 2, 3),
        block_of_zone=(0, 0, 0),
        area_ac=np.array(area_ac),
        days=np.array([200]),
        volumes_gal_ac=(15.0,),
        net_usd_ac=np.ones((3, 1, 1)),
        worth_it=np.ones((3, 1, 1), dtype=np.bool_),
        swath_area_ac=SWATHS,
        track_loss_usd_ac=np.array([10.0, 20.0, 30.0]),
        bill_usd_ac=0.0,
        pass_usd_ac=9.0,
        per_visit_usd=0.0,
        minimum_bill_usd=0.0,
    )


@pytest.mark.parametrize(
    ("sprayed", "anyway"),
    [
        # nobody else drives: all tracks of a zone are its own
        ((True, False, False), (0.0, 0.5, 0.0)),
        # zones 1 and 3 drive both swaths, but neither drives the other's
        ((True, False, True), (0.0, 1.0, 0.0)),
        # zone 2 drives both swaths; of its own area half lies on that of zone 1
        ((True, True, False), (1.0, 0.5, 1.0)),
        ((False, False, False), (0.0, 0.0, 0.0)),
    ],
)
def test_by_hand_share_that_others_drive_anyway(sprayed, anyway):
    assert driven_anyway_frac(field(), np.array(sprayed)) == pytest.approx(anyway)


def test_by_hand_swaths_and_their_crop():
    # zone 1 on swath 1; the half of zone 2 on it is driven with the boom off: 1 ac
    only_one = np.array([True, False, False])
    assert driven(field(), only_one[np.newaxis]).tolist() == [[True, False]]
    assert driven_off_ac(field(), only_one) == pytest.approx([0, 1, 0])
    # 4 x 10 + 1 x 20 = 60; 1 x 20 + 2 x 30 = 80 USD
    assert swath_loss_usd(field()) == pytest.approx([60, 80])
    # areas of outlines are half of what the cells say: everything is counted at half
    assert swath_loss_usd(field((2.0, 1.0, 1.0))) == pytest.approx([30, 40])
