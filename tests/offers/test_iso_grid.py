"""`[files] iso_grid` reaches the plan, from which the files are written."""

from dataclasses import replace

import pytest
from made_offers import choose_alone, made_offer
from made_sheets import sheet_settings
from made_whole import options_of, zone_of

from zoning.offers.settle import settle
from zoning.returns.terms import Mixture, Part


@pytest.mark.parametrize("kind", [0, 1, 2])
def test_the_choice_of_grid_reaches_the_plan(kind):
    responds = Mixture((Part(weight=1.0, low_bu_ac=6.0, responding_bu_ac=0.0, sd_bu_ac=1.0),))
    zones = (zone_of(1, responds, 40.0),)
    options = options_of(zones)
    offer = replace(made_offer(zones, options), settings=sheet_settings(files={"iso_grid": kind}))
    assert settle(offer, choose_alone(zones, options)).iso_grid == kind
