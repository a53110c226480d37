"""How long page, picture and paper of a trial take, and how large they are, with some 50,000 points.

Run by hand: `python tests/benchmarks/bench_trial_shown.py`. Processor time of one run, libraries loaded.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_trials import made_trial, many_points

from zoning.show.trial import page, pdf, picture, report


def main() -> None:
    """Write each once to load what it needs, then once more."""
    with tempfile.TemporaryDirectory() as folder:
        for name, show in (("trial.html", page), ("trial.png", picture), ("trial.pdf", pdf)):
            path = Path(folder) / name
            show.write(made_trial(), path)
            result = many_points()
            began = time.process_time()
            show.write(result, path)
            took = time.process_time() - began
            print(f"{name}: {took:.2f} s, {path.stat().st_size / 1000:.0f} kB, {len(result.points.row):,}")
        began = time.process_time()
        lines = report.text(many_points()).count("\n")
        print(f"report: {time.process_time() - began:.2f} s with the points made, {lines} lines")


if __name__ == "__main__":
    main()
