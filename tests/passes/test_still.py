"""What compiled code prints stays off standard output while a solver runs."""

import ctypes

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
