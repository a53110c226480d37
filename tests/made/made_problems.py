"""One field's options and one sprayer, made by hand, for the tests of the passes."""

import numpy as np

from zoning.passes.half_days import even
from zoning.passes.problem import FieldProblem, Machine


def machine(hours=12.0, volumes=1, set_up_h=1 / 3, pace=(98.0, 78.0, 58.5)):
    return Machine(
        name="rig",
        acres_per_hour=pace[:volumes],
        acres_per_load=(100.0, 66.7, 50.0)[:volumes],
        set_up_h=set_up_h,
        hours=even(0, 400, hours),
    )


def problem(net, area, **changes):
    """One zone a block unless said otherwise, no tracks, no visit costs, worth it where it nets above 0."""
    net = np.asarray(net, dtype=float)
    zones = len(net)
    keys = {
        "field": "home",
        "zones": tuple(range(1, zones + 1)),
        "block_of_zone": tuple(range(zones)),
        "area_ac": np.asarray(area, dtype=float),
        "days": np.arange(200, 200 + net.shape[1]),
        "volumes_gal_ac": (10.0, 15.0, 20.0)[: net.shape[2]],
        "net_usd_ac": net,
        "worth_it": np.nan_to_num(net, nan=-1) > 0,
        "swath_area_ac": np.diag(np.asarray(area, dtype=float)),
        "track_loss_usd_ac": np.zeros(zones),
        "bill_usd_ac": 0.0,
        "pass_usd_ac": 0.0,
        "per_visit_usd": 0.0,
        "minimum_bill_usd": 0.0,
    }
    keys.update(changes)
    return FieldProblem(**keys)
