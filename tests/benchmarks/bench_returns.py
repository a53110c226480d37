"""How long pricing takes: 1,000 zones x 512 draws x 30 days x 3 volumes. Run it as a program; no test."""

from time import perf_counter

import numpy as np

from zoning.returns.costs import terms
from zoning.returns.draws import response_draws
from zoning.returns.price import price
from zoning.returns.response import pooled
from zoning.returns.terms import ZoneCase
from zoning.settings.model import Money
from zoning.stage.draws import StageDraws

ZONES, DRAWS, DAYS, BLOCKS = 1_000, 512, 30, 40
VOLUMES_GAL_AC = (10.0, 15.0, 20.0)


def stage_of_block(block: int) -> StageDraws:
    """Draws of a block whose R3 begins about day 10, with an SD of 4 days."""
    shift = np.random.default_rng(block).normal(10, 4, DRAWS)
    begin = np.array([-13.0, -10, 0, 9, 18, 30, 48])
    return StageDraws(shift[:, None] + begin)


def cases(volume_matters: bool) -> list[ZoneCase]:
    """Make zones that share the stage of their block."""
    mixture = pooled("medium")
    stages = [stage_of_block(block) for block in range(BLOCKS)]
    return [
        ZoneCase(
            zone=zone,
            area_ac=10.0,
            mixture=mixture,
            response_draws_bu_ac=response_draws(mixture, seed=0, field="bench", zone=zone, draws=DRAWS),
            curve="published",
            stage=stages[zone % BLOCKS],
            expected_yield_bu_ac=55.0,
            track_loss_bu_ac=0.5,
            volume_matters=volume_matters,
        )
        for zone in range(ZONES)
    ]


def main() -> None:
    """Print the seconds of each step, with one answer for all volumes and with one each."""
    money = Money.model_validate({"grain_price": "10.40 USD/bu", "product": "21 USD/ac", "pass": "9 USD/ac"})
    dear = money.model_copy(update={"water_usd_gal": 0.02})
    for name, of, matters in (("one answer", money, False), ("one each", dear, True)):
        begun = perf_counter()
        zones = cases(matters)
        drawn = perf_counter()
        price(zones, np.arange(DAYS), VOLUMES_GAL_AC, terms(of))
        done = perf_counter()
        print(f"{name}: draws {drawn - begun:.2f} s, prices {done - drawn:.2f} s")


if __name__ == "__main__":
    main()
