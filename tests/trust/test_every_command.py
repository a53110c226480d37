"""What every command asks the system for: no network, no other program, nothing out of pickles but its own.

All of them run once, with an audit hook of Python that refuses connections, on a console of few letters. What
libraries in C ask for no hook sees: `witness_no_network.py` looks at that from outside.
"""

import json
import os
import signal
import subprocess
import sys
import urllib.request

import pytest
from every_command import ROOT, Watched, commands, environment, events, watched

from cli.main import COMMANDS, _code
from cli.options import Teller
from zoning import __version__
from zoning.errors import InputError

# Taken out of a pickle: of ours, of what ours is made of, and of the pipes between our own processes.
FROM_OURSELVES = {
    "zoning",
    "numpy",
    "shapely",
    "datetime",
    "pathlib",
    "builtins",
    "copyreg",
    "_codecs",
    "enum",
}
OF_PIPES = {"multiprocessing", "concurrent"}


@pytest.fixture(scope="module")
def all_commands(tmp_path_factory) -> Watched:
    return watched(tmp_path_factory.mktemp("every"))


def test_every_command_is_tried(all_commands):
    assert {name.split()[0] for name in all_commands.ended} | {"desk"} == set(COMMANDS)


def test_every_command_ends_well_on_a_console_of_few_letters(all_commands):
    """As an old console of Windows: what it lacks becomes `?`, JSON becomes ASCII; nothing else is lost."""
    for name, one in all_commands.ended.items():
        assert one.code == 0, (name, one.err)
        assert one.out, name
        assert "Traceback" not in one.err, name
    assert all_commands.ended["evidence"].out.isascii()
    assert json.loads(all_commands.ended["evidence"].out)["entries"]


def test_no_command_asks_for_the_network(all_commands):
    """Processes of `farm --workers` talk over pipes that have a name in a folder of their own."""
    assert (
        all_commands.named("socket.getaddrinfo", "socket.gethostby", "socket.sendto", "urllib.", "http.")
        == []
    )
    for _, (_, address, *_), _ in all_commands.named("socket.connect", "socket.bind"):
        assert isinstance(address, str)
        assert address.startswith("/"), "an address of the network"


def test_no_command_starts_another_program(all_commands):
    """Nor a shell: workers are this Python again, and are not started by these ways."""
    assert (
        all_commands.named("subprocess.", "os.system", "os.exec", "os.spawn", "os.posix_spawn", "webbrowser.")
        == []
    )


def test_only_our_own_processes_hand_each_other_pickles(all_commands):
    taken = {(str(one[1][0]).split(".")[0]) for one in all_commands.named("pickle.")}
    assert taken <= FROM_OURSELVES | OF_PIPES | {"coverage"} & set(sys.modules)  # the tracer hands on itself
    assert taken & {"zoning"}, "the farm had no workers: nothing was shown"
    assert all_commands.named("marshal.load") == []


def test_what_was_told_stands_in_the_log(all_commands):
    folder = all_commands.folder
    for name in ("run", "strips", "farm"):
        steps = [line for line in all_commands.ended[name].err.splitlines() if line]
        lines = (folder / f"{name}.log").read_text(encoding="utf-8").splitlines()
        kept = [line.partition(" ")[2] for line in lines]
        assert kept[0] == f"sprayworth {__version__}"
        told = [line for line in kept[1:] if ": " not in line]  # of a farm's fields the log says more
        assert told == steps[: len(told)]
        assert len(told) >= 3
        stamps = [line.partition(" ")[0] for line in lines]
        assert stamps == sorted(stamps)


# -- the log, by itself --------------------------------------------------------------------------------------


def test_a_log_grows_and_keeps_what_stopped_the_command(tmp_path):
    path = tmp_path / "a b.log"

    def stopped() -> None:
        with Teller(quiet=True, log_file=path) as tell:
            tell("reading Señor's fields")
            raise InputError("no boundary", where="field.toml", mend="Draw one.")

    for _ in range(2):
        with pytest.raises(InputError):
            stopped()
    lines = [line.partition(" ")[2] for line in path.read_text(encoding="utf-8").splitlines()]
    assert lines == 2 * [
        f"sprayworth {__version__}",
        "reading Señor's fields",
        "error: field.toml: no boundary. Draw one.",
    ]


@pytest.mark.parametrize("name", ["run", "strips", "farm"])
def test_a_log_that_cannot_be_written_is_told_before_any_work(name, tmp_path, capsys):
    folder = ROOT / "demo_fields" / "heron_slough" / ("" if name == "farm" else "three_dates")
    assert _code([name, str(folder), "--log", str(tmp_path / "nowhere" / "run.log")]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "the log cannot be written" in told


# -- the desk ------------------------------------------------------------------------------------------------


def test_the_desk_listens_on_this_computer_only(tmp_path):
    pytest.importorskip("uvicorn", reason="the desk is an extra")
    log = tmp_path / "watched.jsonl"
    command = [sys.executable, "-c", "from cli.main import main; main()", "desk"]
    folder = ROOT / "demo_fields" / "heron_slough"
    with subprocess.Popen(
        [*command, str(folder), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(tmp_path, log),
    ) as desk:
        address = desk.stdout.readline().strip()
        with pytest.raises(urllib.error.HTTPError) as refused:  # no cookie
            urllib.request.urlopen(address.partition("?")[0] + "field/1/")
        assert refused.value.code == 403
        refused.value.close()
        desk.send_signal(signal.SIGINT)
        try:
            desk.communicate(timeout=60)
        finally:
            desk.kill()
    assert desk.returncode == 130
    found = events(log)
    (bound,) = [str(one[1][1]) for one in found if one[0] == "socket.bind"]
    assert bound.startswith("('127.0.0.1', ")
    assert [
        one for one in found if one[0] in ("socket.connect", "socket.getaddrinfo", "subprocess.Popen")
    ] == []


# -- what a user types first ---------------------------------------------------------------------------------


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_is_told_how_to_complete(shell, monkeypatch, capsys):
    monkeypatch.setenv("_SPRAYWORTH_COMPLETE", f"{shell}_source")
    monkeypatch.setattr("click.shell_completion.BashComplete._check_version", lambda *_: None)
    with pytest.raises(SystemExit) as ended:
        _code([])
    assert ended.value.code == 0
    assert f"_SPRAYWORTH_COMPLETE={shell}_complete" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("sprayworth st", {"stage", "strips"}), ("sprayworth run --al", {"--alone", "--allow-unreachable"})],
)
@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_offers_commands_and_options(shell, typed, offered, monkeypatch, capsys):
    words = typed.split()
    monkeypatch.setenv("_SPRAYWORTH_COMPLETE", f"{shell}_complete")
    monkeypatch.setenv("COMP_WORDS", typed)
    monkeypatch.setenv("COMP_CWORD", words[-1] if shell == "fish" else str(len(words) - 1))
    with pytest.raises(SystemExit):
        _code([])
    out = capsys.readouterr().out
    assert all(word in out for word in offered)
    assert "evidence" not in out


def test_completion_is_documented():
    page = (ROOT / "docs" / "reference" / "commands.md").read_text(encoding="utf-8")
    assert all(f"{shell}_source" in page for shell in ("bash", "zsh", "fish"))


def test_the_version_is_that_of_the_package(capsys):
    assert _code(["--version"]) == 0
    assert capsys.readouterr().out == f"sprayworth, version {__version__}\n"


def test_letters_that_steer_a_terminal_are_shown_and_not_sent(capsys):
    hostile = "a\x1b]0;title\x07\u202eb\nc\x00"
    told = str(InputError(hostile, where=f"x{hostile}", mend="Mend it."))
    assert told.isprintable()
    assert told.count("\n") == 0
    assert str(InputError("Señor’s 40: å北 🚁", where="a", mend="M.")) == "a: Señor’s 40: å北 🚁. M."


@pytest.mark.parametrize("letters", ["cp1252", "utf-8"])
def test_names_reach_a_console_of_few_letters_and_are_whole_in_json(letters, tmp_path):
    name = "Größe 田.geojson"
    (tmp_path / name).write_text("[]", encoding="utf-8")
    command = [sys.executable, "-c", "from cli.main import main; main()", "check", str(tmp_path / name)]
    around = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": letters}
    for more, shown in (([], name.encode(letters, "replace").decode(letters)), (["--json"], name)):
        done = subprocess.run([*command, *more], capture_output=True, env=around, cwd=tmp_path)
        assert b"Traceback" not in done.stderr
        out = done.stdout.decode(letters)
        assert shown in (json.dumps(json.loads(out), ensure_ascii=False) if more else out)


def test_commands_here_are_those_of_the_table(tmp_path):
    assert all(arguments[0] == name.split()[0] for name, arguments in commands(tmp_path).items())
