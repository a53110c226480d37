"""Same inputs, today, seed and versions: the same bytes, wherever, however and by however many it is done."""

import os
from pathlib import Path

import pytest
from made_region import made_region
from read_results import results
from surroundings import PROCESSES, RUNS, copied, worked

DEMO = Path(__file__).parents[2] / "demo_fields" / "ombu_bend"
FIELD = "loma_larga"  # an image, layers, blocks, counts, metric: most of what a field may have, and quick
FIELDS = 4  # one for each worker


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    """The demo farm with one of its fields, as it lies in the repository."""
    folder = tmp_path_factory.mktemp("inputs") / "farm"
    folder.mkdir()
    for path in sorted(DEMO.iterdir()):
        if path.is_file():
            (folder / path.name).write_bytes(path.read_bytes())
    for path in sorted((DEMO / FIELD).rglob("*")):
        inside = path.relative_to(DEMO)
        if path.is_file() and not any(part.startswith(("out", "strips")) for part in inside.parts[1:]):
            (folder / inside).parent.mkdir(parents=True, exist_ok=True)
            (folder / inside).write_bytes(path.read_bytes())
    return folder


def test_twenty_runs_of_a_field_leave_the_same_bytes(farm, tmp_path):
    places = []
    for number, process in enumerate(PROCESSES):
        jobs = []
        for turn, run in enumerate(RUNS):
            seed = number * len(RUNS) + turn
            place = copied(farm, tmp_path / str(seed) / run["folder"], seed)
            # from above, from beside, from the field itself: the path is long, short or a dot
            cwd = (place.parent, Path("/"), place / FIELD, place)[(number + turn) % 4]
            arguments = ["run", os.path.relpath(place / FIELD, cwd), "--quiet"]
            rest = {"zone": run["zone"], "umask": run["umask"], "cwd": str(cwd), "seed": seed}
            jobs.append({"arguments": arguments, **rest})
            places.append(place)
        worked(jobs, process)
    assert len(places) == 20
    first = results(places[0])
    assert {f"{FIELD}/out/{name}" for name in ("plan.json", "page.html", "sheet.pdf", "map.png")} <= set(
        first
    )
    for place in places[1:]:
        assert results(place) == first, place


def test_one_to_four_workers_leave_the_same_bytes(tmp_path):
    farm = made_region(tmp_path / "made", FIELDS, small=True).farm
    found = []
    for workers, (process, run) in enumerate(zip(PROCESSES, RUNS, strict=False), start=1):
        place = copied(farm, tmp_path / str(workers) / run["folder"], workers)
        arguments = ["farm", str(place), "--workers", str(workers), "--quiet"]
        rest = {"zone": run["zone"], "umask": run["umask"], "cwd": str(tmp_path), "seed": workers}
        worked([{"arguments": arguments, **rest}], process)
        found.append(results(place))
    assert len(found) == 4
    assert sum(name.endswith("/out/plan.json") for name in found[0]) == FIELDS
    assert all(other == found[0] for other in found[1:])
