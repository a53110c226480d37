"""Windows renames nothing that a program has open: said with what to close, nothing lost, tried for a moment.

The refusal is played on this system: the renaming of a file or folder by its name is refused as Windows does.
"""

import ast
import os
import shutil
from pathlib import Path

import pytest
from made_desks import DEMO, listing
from source_trees import called, nodes, trees

from cli.main import _code
from zoning.errors import InputError
from zoning.farm.kept import files as kept
from zoning.inputs import renaming, store
from zoning.prescription import folder

OPEN = "The process cannot access the file because it is being used by another process"
TIMES = 1 + len(renaming._WAITS_S)  # that a renaming is tried


@pytest.fixture
def hold(monkeypatch):
    """Have renaming refused where a name is touched, as often as asked; gives how often it was."""
    refused = []

    def begin(name: str, times: int = 10**9, winerror: int = 32):
        real = os.replace

        def replace(path, to):
            if name in (Path(path).name, Path(to).name) and len(refused) < times:
                refused.append(name)
                error = PermissionError(13, OPEN, os.fspath(path))
                error.winerror = winerror
                raise error
            real(path, to)

        monkeypatch.setattr(os, "replace", replace)
        monkeypatch.setattr(os, "rename", replace)
        monkeypatch.setattr(renaming.time, "sleep", lambda _seconds: None)
        return refused

    return begin


def results(tmp_path, text="old"):
    out = tmp_path / "out"
    folder.replace(out, lambda new: (new / "plan.json").write_text(text))
    return out


@pytest.mark.parametrize("winerror", [5, 32, 33])
def test_results_that_somebody_looks_at_stay_and_it_is_said_what_to_close(hold, tmp_path, winerror):
    out = results(tmp_path)
    hold("out", winerror=winerror)
    with pytest.raises(InputError) as caught:
        folder.replace(out, lambda new: (new / "plan.json").write_text("new"))
    assert caught.value.code == 4
    assert "Close the program that has out or a file in it open" in str(caught.value)
    assert "the last results are kept" in str(caught.value)
    assert listing(tmp_path) == {"out/plan.json": b"old"}


@pytest.mark.parametrize("times", [1, TIMES - 1])
def test_what_is_let_go_within_a_moment_is_replaced(hold, tmp_path, times):
    out = results(tmp_path)
    refused = hold("out", times)
    folder.replace(out, lambda new: (new / "plan.json").write_text("new"))
    assert len(refused) == times
    assert listing(tmp_path) == {"out/plan.json": b"new"}


def test_a_plain_lack_of_permission_is_not_waited_for(monkeypatch, tmp_path):
    path = tmp_path / "a"
    path.write_text("a")

    def refuse(_path, _to):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "replace", refuse)
    monkeypatch.setattr(renaming.time, "sleep", lambda _seconds: pytest.fail("it waited"))
    with pytest.raises(PermissionError):
        renaming.rename(path, tmp_path / "b")


def test_a_table_that_is_open_in_a_spreadsheet_stays(hold, tmp_path):
    path = tmp_path / "scouting.csv"
    store.write_text(path, "old")
    refused = hold("scouting.csv")
    with pytest.raises(InputError) as caught:
        store.write_text(path, "new")
    assert caught.value.code == 4
    assert "Close the program that has scouting.csv open" in str(caught.value)
    assert len(refused) == TIMES
    assert path.read_text() == "old"
    assert {one.name for one in tmp_path.iterdir()} <= {"scouting.csv", "scouting.csv.bak"}


def test_of_two_files_that_belong_together_neither_is_replaced(hold, tmp_path):
    first, second = tmp_path / "zones.csv", tmp_path / "done.csv"
    store.write_all({first: b"1", second: b"1"})
    hold("done.csv")
    with pytest.raises(InputError):
        store.write_all({first: b"2", second: b"2"})
    assert (first.read_bytes(), second.read_bytes()) == (b"1", b"1")


def test_what_is_kept_of_a_field_that_is_open_is_told(hold, tmp_path):
    path = tmp_path / "out.kept" / "north.offer.npz"
    kept.keep(path, {}, (1,))
    hold(path.name)
    with pytest.raises(InputError, match="Close the program that has"):
        kept.keep(path, {}, (2,))
    assert kept.kept(path) == (1,)
    assert [one.name for one in path.parent.iterdir()] == [path.name]


PASS = [
    *("--field", "Long Eighty", "--start", "2026-07-30 09:00"),
    *("--end", "2026-07-30 11:00", "--rate", "15 gal/ac", "--product", "Invented Fungicide A"),
]


def test_a_command_ends_with_4_and_loses_nothing(hold, tmp_path, capsys):
    farm = tmp_path / "plover_rise"
    shutil.copytree(DEMO.parent / "plover_rise", farm, ignore=shutil.ignore_patterns("out*"))
    before = listing(farm)
    refused = hold("done.csv")
    code = _code(["done", str(farm), *PASS])
    told = capsys.readouterr().err
    assert refused, told
    assert code == 4
    assert told.count("\n") == 1
    assert "Close the program that has done.csv open" in told
    assert {name: one for name, one in listing(farm).items() if not name.endswith(".bak")} == before


# -- what else there is on one system only -------------------------------------------------------------------

ELSEWHERE_MISSING = {
    "fcntl",
    "resource",
    "pwd",
    "grp",
    "termios",
    "tty",
    "pty",
    "syslog",
    "readline",
    "curses",
}
NAMES_MISSING = {
    *("os.fork", "os.geteuid", "os.getuid", "os.mkfifo", "os.mknod", "os.chown", "os.killpg", "os.setsid"),
    *("os.O_NOFOLLOW", "os.sched_getaffinity", "os.sysconf", "os.umask", "os.statvfs", "os.nice"),
    *("signal.SIGKILL", "signal.SIGHUP", "signal.SIGUSR1", "signal.SIGALRM", "signal.pthread_sigmask"),
    "multiprocessing.forkserver",
}
# file: what -> why it may stand there
ONLY_LOGS = ("cli/main.py", "cli/options.py")  # for people, with the ends of lines of their system
GUARDED = {
    ("zoning/inputs/held.py", "fcntl"): "imported in try; without it everybody holds",
    ("zoning/inputs/held.py", "os.O_NOFOLLOW"): "only where there is fcntl",
    ("zoning/farm/workers.py", "resource"): "imported where sys.platform is linux",
    ("zoning/farm/workers.py", "os.sched_getaffinity"): "asked for with hasattr",
    ("zoning/farm/workers.py", "os.sysconf"): "AttributeError is caught",
    ("zoning/farm/workers.py", "signal.pthread_sigmask"): "only where the start method is forkserver",
    ("zoning/farm/workers.py", "multiprocessing.forkserver"): "imported where the start method is forkserver",
}


def of_one_system(tree):
    """What a module uses that Windows has not."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ELSEWHERE_MISSING & {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom):
            yield from ELSEWHERE_MISSING & {node.module}
            yield from NAMES_MISSING & {f"{node.module}.{one.name}" for one in node.names}
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield from NAMES_MISSING & {f"{node.value.id}.{node.attr}"}


def test_what_windows_has_not_is_used_at_known_places_only():
    found = {(path, name) for path, tree in trees().items() for name in of_one_system(tree)}
    assert found == set(GUARDED)


def test_no_such_module_is_imported_when_a_module_is():
    """At the top of a module only within `try`."""
    for path, tree in trees().items():
        for node in tree.body:
            if isinstance(node, ast.Import | ast.ImportFrom):
                assert not set(of_one_system(ast.Module([node], []))), path


def test_all_that_takes_another_name_waits_for_who_has_it_open():
    """A path is renamed with one argument; a text, a date or a dataclass takes more, or names them."""
    found = {
        path
        for path, node in nodes()
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        if node.func.attr in ("replace", "rename", "renames", "move")
        if (len(node.args) == 1 and not node.keywords) or called(node).startswith(("os.", "shutil."))
    }
    assert found == {"zoning/inputs/renaming.py"}


def test_texts_are_read_and_written_alike_on_every_system():
    """Each says its letters and, written, its ends of lines: Windows has others of its own."""
    for path, node in nodes():
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
            continue
        named, at = {one.arg for one in node.keywords}, f"{path}:{node.lineno}"
        what = node.func.attr
        if what == "write_text" and called(node) != "store.write_text":
            assert {"encoding", "newline"} <= named, at
        elif what == "read_text" and ast.unparse(node.func.value) != "super()":  # a library's: of an address
            assert "encoding" in named, at
        elif what == "open" and isinstance(node.func.value, ast.Name | ast.BinOp | ast.Call):
            mode = next((one.value for one in node.args if isinstance(one, ast.Constant)), "")
            is_path = isinstance(mode, str) and mode in ("r", "w", "a", "x", "r+")
            assert not is_path or "encoding" in named, at
            assert not is_path or mode == "r" or "newline" in named or path in ONLY_LOGS, at
