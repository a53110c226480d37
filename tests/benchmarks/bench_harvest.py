"""How long cleaning the points of a combine takes, against point by point in Python; run as a program.

CPU times, the best of a few. The point-by-point version does what holds points against others (the lag, ends
of passes, outliers of a pass, neighbours, ground cut before) in loops over points; it is given the passes and
which ground lies beside which. It is short, not slow on purpose.
"""

import statistics
import sys
import time
import tracemalloc
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_passes import HEADER_M, Made, harvest

from zoning.strips.cleaned.along import places_of, runs_of
from zoning.strips.cleaned.cleaning import clean
from zoning.strips.cleaned.opposite import sides
from zoning.strips.cleaned.tracks import tracks
from zoning.strips.cleaned.yields import measured, soybeans

REPEATS = 3


def straightforward(points, number: np.ndarray, values: np.ndarray) -> int:
    """Count points that some rule takes, in loops over points."""
    east, north = points.east_m.tolist(), points.north_m.tolist()
    of_pass: dict[int, list[int]] = {}
    for place, one in enumerate(number.tolist()):
        if one >= 0:
            of_pass.setdefault(one, []).append(place)
    value = values.tolist()
    gone: set[int] = set()
    cells: dict[tuple[int, int], int] = {}
    for one, places in of_pass.items():
        gone.update(places[:8] + places[-8:])
        inside = places[8:-8]
        if not inside:
            continue
        middle = statistics.median(value[place] for place in inside)
        spread = statistics.pstdev([value[place] for place in inside])
        gone.update(place for place in inside if abs(value[place] - middle) > 3 * spread)
        off = {}
        for at, place in enumerate(inside):
            around = inside[max(at - 10, 0) : at + 11]
            off[place] = value[place] - statistics.median([value[other] for other in around])
        for at, place in enumerate(inside):
            around = inside[max(at - 30, 0) : at + 31]
            local = (sum(off[other] ** 2 for other in around) / len(around)) ** 0.5
            if abs(off[place]) > 3 * local:
                gone.add(place)
        gone.update(_cut_before(places, east, north, cells, one))
    return len(gone)


def straightforward_lag(points, runs, grain, matched) -> float:
    """Find the shift with the best correlation, place by place."""
    time_s = points.time_s[runs.at].tolist()
    values = np.nan_to_num(grain).tolist()
    places = [(float(here), float(there)) for here, there in zip(matched.here, matched.there, strict=True)]
    found = []
    for half in range(-20, 41):
        sums = [0.0] * 5
        for here, there in places:
            pair = []
            for at in (here, there):
                low = int(at)
                then = at + half / 2 / (time_s[min(low + 1, len(time_s) - 1)] - time_s[low] or 1.0)
                low = min(max(int(then), 0), len(values) - 2)
                pair.append(values[low] + (then - low) * (values[low + 1] - values[low]))
            x, y = pair
            for place, more in enumerate((x, y, x * x, y * y, x * y)):
                sums[place] += more
        x, y, xx, yy, xy = (one / len(places) for one in sums)
        found.append(((xy - x * y) / ((xx - x * x) * (yy - y * y)) ** 0.5, half / 2))
    return max(found)[1]


def _cut_before(places, east, north, cells, one) -> list[int]:
    """Points of a pass most of whose swath an earlier pass went over; notes the cells of this one."""
    out = []
    cell = HEADER_M / 12
    for at, place in enumerate(places):
        after = places[min(at + 1, len(places) - 1)]
        before = places[max(at - 1, 0)]
        way_x, way_y = east[after] - east[before], north[after] - north[before]
        length = (way_x**2 + way_y**2) ** 0.5 or 1.0
        new = count = 0
        for step in range(3):
            x = east[place] + step / 3 * (east[after] - east[place])
            y = north[place] + step / 3 * (north[after] - north[place])
            for side in range(12):
                across = (side - 5.5) * cell
                key = (int((x - way_y / length * across) // cell), int((y + way_x / length * across) // cell))
                new += cells.setdefault(key, one) == one
                count += 1
        if new < 0.8 * count:
            out.append(place)
    return out


def beside(points):
    """Passes, yields and ground side by side, which the point-by-point version is given."""
    passes = tracks(points, HEADER_M)
    runs = runs_of(passes.number)
    seen = measured(points, passes, runs, HEADER_M, soybeans())
    far = np.minimum(np.arange(len(runs.at)) - runs.first, runs.last - np.arange(len(runs.at))) > 20
    return runs, seen.yield_bu_ac, sides(places_of(points, runs.at), passes.heading_deg[runs.at], runs, far)


def best(function, *arguments, repeats: int = REPEATS) -> float:
    """Least CPU seconds of a few runs."""
    spent = []
    for _ in range(repeats):
        begin = time.process_time()
        function(*arguments)
        spent.append(time.process_time() - begin)
    return min(spent)


def main() -> None:
    """Print a line for each size of file."""
    clean(harvest(0, Made(passes=4))[0], HEADER_M)  # imports
    for passes, length_m in ((30, 400), (60, 800), (115, 800), (230, 800)):
        points, _, _ = harvest(1, Made(passes=passes, length_m=length_m, residual_s=6.0))
        cleaned = clean(points, HEADER_M)
        ours = best(clean, points, HEADER_M)
        slow = best(straightforward, points, cleaned.tracks.number, np.nan_to_num(cleaned.yield_bu_ac))
        slow += best(straightforward_lag, points, *beside(points), repeats=1)
        tracemalloc.start()
        clean(points, HEADER_M)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(
            f"{points.count:6,} points: {ours:.2f} s CPU with passes, lag and all rules, point by point "
            f"{slow:.2f} s for the lag and four rules ({slow / ours:.0f} times); "
            f"{peak / 2**20:.0f} MiB at most; {100 * cleaned.kept.mean():.0f} % kept, "
            f"lag {cleaned.lag.amount:.2f} s of 6"
        )


if __name__ == "__main__":
    main()
