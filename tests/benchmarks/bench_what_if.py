"""Cost of judging a field again, in Python and in the page: python tests/benchmarks/bench_what_if.py.

Fields of 30, 50 and 200 zones with 512 draws of three sources, invented, with wheel tracks on shared swaths.
Times are the best of several; the ratio of the two languages in one run does not hang on the machine.
"""

import json
import sys
import time
from dataclasses import asdict, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_page_plans import page_plan
from made_page_plans import what_if as made_what_if
from node import evaluate

from zoning.passes.what_if import WhatIf, judge
from zoning.show.page.what_if_data import what_if_data

TIMED = """(() => {
  const took = (work) => {
    let least = Infinity;
    for (let run = 0; run < 15; run += 1) {
      const start = process.hrtime.bigint();
      work(run);
      least = Math.min(least, Number(process.hrtime.bigint() - start) / 1e6);
    }
    return least;
  };
  const read = took(() => whatIf.read({ ...given.data }));
  const model = whatIf.read(given.data);
  const moved = (run) => ({ ...given.figures, grain_price_usd_bu: 8 + run / 3, rule: given.rules[run % 3] });
  const judged = took((run) => whatIf.judge(model, moved(run), {}));
  return { read, judged };
})()"""


def with_tracks(one: WhatIf) -> WhatIf:
    """Neighbours share swaths: each zone half alone, a quarter with each of its neighbours."""
    zones = tuple(replace(zone, track_loss_bu_ac=0.6) for zone in one.zones)
    alone = [((place, zone.area_ac / 2),) for place, zone in enumerate(zones)]
    shared = [
        ((place, zones[place].area_ac / 4), (place + 1, zones[place + 1].area_ac / 4))
        for place in range(len(zones) - 1)
    ]
    return replace(one, zones=zones, swaths=(*alone, *shared))


def took_ms(work) -> float:
    """Best of ten."""
    best = float("inf")
    for _ in range(10):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return 1000 * best


if __name__ == "__main__":
    for zones in (30, 50, 200):
        asked = with_tracks(made_what_if(page_plan(zones, pictures=0)))
        data = what_if_data(asked)
        given = {"data": data, "figures": asdict(asked.base), "rules": ["expected", "chance", "cautious"]}
        page = evaluate(["what_if"], TIMED, given)
        here = took_ms(lambda asked=asked: judge(asked, asked.base))
        packed = took_ms(lambda asked=asked: what_if_data(asked))
        print(
            f"{zones:4} zones: {len(json.dumps(data)) / 1000:.0f} kB, packed in {packed:.1f} ms; page reads "
            f"{page['read']:.1f} ms, judges {page['judged']:.2f} ms; Python judges {here:.1f} ms "
            f"({here / page['judged']:.0f} times the page)"
        )
