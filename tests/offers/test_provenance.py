"""What a plan was made of: everything that moves it moves its run_id, and the order of files does not."""

from dataclasses import replace
from datetime import date

import pytest

from zoning.offers.provenance import Provenance, with_inputs

MADE_OF = Provenance(
    version="0.1.0",
    today=date(2026, 7, 8),
    seed=1,
    settings={"name": "home", "money": {"grain_price_usd_bu": 10.4}},
    inputs={"boundary.geojson": "a" * 64, "planting.geojson": "b" * 64},
    evidence={"stage": "c" * 64},
)


@pytest.mark.parametrize(
    "moved",
    [
        {"version": "0.1.1"},
        {"today": date(2026, 7, 9)},
        {"seed": 2},
        {"settings": {"name": "home", "money": {"grain_price_usd_bu": 10.5}}},
        {"inputs": {"boundary.geojson": "a" * 64, "planting.geojson": "d" * 64}},
        {"inputs": {"boundary.geojson": "a" * 64}},
        {"inputs": {"boundary.geojson": "b" * 64, "planting.geojson": "a" * 64}},
        {"evidence": {"stage": "d" * 64}},
    ],
    ids=lambda moved: "-".join(moved),
)
def test_each_thing_that_a_plan_is_made_of_moves_its_name(moved):
    assert replace(MADE_OF, **moved).run_id != MADE_OF.run_id


def test_the_order_of_files_and_settings_does_not_move_it():
    turned = replace(
        MADE_OF,
        settings={"money": {"grain_price_usd_bu": 10.4}, "name": "home"},
        inputs=dict(reversed(MADE_OF.inputs.items())),
    )
    assert turned.run_id == MADE_OF.run_id


def test_an_input_that_is_known_later_counts_as_any():
    later = with_inputs(replace(MADE_OF, inputs={"boundary.geojson": "a" * 64}), MADE_OF.inputs)
    assert later.run_id == MADE_OF.run_id
