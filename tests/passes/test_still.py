"""What compiled code prints stays off standard output while a solver runs."""

import ctypes
import runpy
from pathlib import Path

from zoning.passes.problem import Limits
from zoning.passes.schedule.farm import schedule
from zoning.passes.schedule.still import results_only


def test_a_line_of_the_c_library_goes_to_standard_error(capfd):
    library = ctypes.CDLL(None)
    print("before")
    with results_only():
        library.puts(b"a line of the solver")
    print("after")
    seen = capfd.readouterr()
    assert seen.out == "before\nafter\n"
    assert seen.err == "a line of the solver\n"


def test_without_it_the_line_would_stand_among_the_results(capfd):
    library = ctypes.CDLL(None)
    library.puts(b"a line of the solver")
    library.fflush(None)
    assert capfd.readouterr().out == "a line of the solver\n"


def test_a_search_that_makes_the_solver_print_leaves_the_results_alone(capfd):
    # the invented farm of a benchmark on which HiGHS 1.12 writes its line
    bench = runpy.run_path(str(Path(__file__).parents[1] / "benchmarks" / "bench_schedule.py"))
    farm = bench["made_farm"]((25, 1, 1), 6, bench["as_priced"])
    assert schedule(farm, Limits(gap_frac=0.001, nodes=300), extras=False).value_usd > 0
    assert capfd.readouterr().out == ""
