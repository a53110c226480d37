"""How long pricing takes: 1,000 zones x 512 draws x 30 days x 3 volumes. Run it as a program; no test.

The seconds are the least of five, in turn: on a machine that others use the least is what the work takes.
"""

from dataclasses import replace
from time import perf_counter

import numpy as np

from zoning.returns.costs import terms
from zoning.returns.draws import response_draws
from zoning.returns.mixture import from_parts
from zoning.returns.price import price
from zoning.returns.sources import pooled
from zoning.returns.terms import Mixture, Terms, ZoneCase
from zoning.settings.model import Money
from zoning.stage.draws import StageDraws

ZONES, DRAWS, DAYS, BLOCKS, ROUNDS = 1_000, 512, 30, 40, 5
ONE_ANSWER_GAL_AC, ONE_EACH_GAL_AC = (15.0, 18.0, 20.0), (10.0, 12.5, 20.0)
ONE_PART = from_parts([1.0], [[1.64, 1.7]])
MONEY = {"grain_price": "10.40 USD/bu", "product": "21 USD/ac", "pass": "9 USD/ac"}


def stage_of_block(block: int) -> StageDraws:
    """Draws of a block whose R3 begins about day 10, with an SD of 4 days."""
    shift = np.random.default_rng(block).normal(10, 4, DRAWS)
    begin = np.array([-13.0, -10, 0, 9, 18, 30, 48])
    return StageDraws(shift[:, None] + begin)


def cases(mixture: Mixture, blocks: int) -> list[ZoneCase]:
    """Make zones that share the stage of their block."""
    stages = [stage_of_block(block) for block in range(blocks)]
    return [
        ZoneCase(
            zone=zone,
            area_ac=10.0,
            mixture=mixture,
            response_draws_bu_ac=response_draws(mixture, seed=0, field="bench", zone=zone, draws=DRAWS),
            curve="published",
            stage=stages[zone % blocks],
            expected_yield_bu_ac=55.0,
            track_loss_bu_ac=0.4 + zone / ZONES,
            volume_matters=True,
        )
        for zone in range(ZONES)
    ]


def of(rule: str) -> Terms:
    """Give terms under which each volume costs its own."""
    money = Money.model_validate(MONEY | {"rule": rule, "water": "0.02 USD/gal"})
    return terms(money)


def main() -> None:
    """Print the seconds of each kind of work."""
    same = replace(of("chance"), water_usd_gal=0.0)
    kinds = {
        "one part, one answer for all volumes": (ONE_PART, BLOCKS, ONE_ANSWER_GAL_AC, same),
        "three parts, one answer for all volumes": (pooled("medium"), BLOCKS, ONE_ANSWER_GAL_AC, same),
        "three parts, one answer for each": (pooled("medium"), BLOCKS, ONE_EACH_GAL_AC, of("chance")),
        "the same, rule cautious": (pooled("medium"), BLOCKS, ONE_EACH_GAL_AC, of("cautious")),
        "the same, every zone a block": (pooled("medium"), ZONES, ONE_EACH_GAL_AC, of("chance")),
    }
    drawn_s: dict[str, list[float]] = {name: [] for name in kinds}
    priced_s: dict[str, list[float]] = {name: [] for name in kinds}
    for _ in range(ROUNDS):
        for name, (mixture, blocks, volumes_gal_ac, money) in kinds.items():
            begun = perf_counter()
            zones = cases(mixture, blocks)
            drawn = perf_counter()
            price(zones, np.arange(DAYS), volumes_gal_ac, money)
            drawn_s[name].append(drawn - begun)
            priced_s[name].append(perf_counter() - drawn)
    for name in kinds:
        print(f"{name}: draws {min(drawn_s[name]):.2f} s, prices {min(priced_s[name]):.2f} s")


if __name__ == "__main__":
    main()
