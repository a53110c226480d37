"""Every command, run in a process of its own that notes what it asks the system for, on a narrow console.

`sitecustomize` is put where each Python that is started finds it: it notes connections, names that are looked
up, programs that are started and what is taken out of pickles, and refuses to connect or to look up a name.
"""

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
DEMOS = ROOT / "demo_fields"

WATCH = r"""
import json, os, sys
def _watch(event, args):
    if event.startswith(("socket.", "urllib.", "http.", "ftplib.", "smtplib.", "webbrowser.", "os.system",
                         "os.exec", "os.posix_spawn", "os.spawn", "subprocess.", "pickle.", "marshal.load")):
        if event == "socket.__new__" or event.startswith("marshal.load") and "importlib" in repr(
                sys._getframe(1).f_code.co_filename):
            return
        told = [event, [repr(one) if not isinstance(one, (str, int)) else one for one in args]]
        line = json.dumps([*told, os.getpid()]) + "\n"
        descriptor = os.open(os.environ["WATCHED"], os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        os.write(descriptor, line.encode())
        os.close(descriptor)
        if event in ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto"):
            if not (event == "socket.connect" and isinstance(args[1], (str, bytes))):  # a pipe by its name
                raise ConnectionRefusedError("a test refuses the network")
if "WATCHED" in os.environ:
    sys.addaudithook(_watch)
"""

RUN = r"""
import io, json, sys
from cli.main import main
told = []
for name, arguments in json.loads(sys.argv[1]).items():
    kept = sys.stdout, sys.stderr
    out, err = io.BytesIO(), io.BytesIO()
    sys.stdout, sys.stderr = (io.TextIOWrapper(one, encoding="cp437", errors="strict") for one in (out, err))
    try:
        main(arguments)
        code = None
    except SystemExit as ended:
        code = ended.code
    except BaseException as error:
        code = repr(error)
    for one in (sys.stdout, sys.stderr):
        one.flush()
    mine, sys.stdout, sys.stderr = (sys.stdout, sys.stderr), *kept
    told.append([name, code, out.getvalue().decode("cp437"), err.getvalue().decode("cp437")])
sys.stdout.write(json.dumps(told))
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a command ended, and what it said."""

    code: object
    out: str
    err: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """What all of them said, and what they asked the system for: an event, its arguments, the process."""

    ended: dict[str, Ended]
    events: list[tuple[str, list[object], int]]
    folder: Path

    def named(self, *starts: str) -> list[tuple[str, list[object], int]]:
        """Events of these kinds."""
        return [one for one in self.events if one[0].startswith(starts)]


def commands(folder: Path) -> dict[str, list[str]]:
    """Arguments by a name that begins with that of the command; `folder` holds copies of the demo farms."""
    heron, plover = folder / "heron_slough", folder / "plover_rise"
    field, trial = heron / "three_dates", plover / "long_eighty"
    today = ["--today", "2026-07-24"]
    return {
        "new": ["new", str(folder / "mine"), "--example"],
        "get planting": ["get", "planting", str(field), str(field / "planting.geojson")],
        "check": ["check", str(heron)],
        "check with pictures": ["check", str(heron), "--preview"],
        "stage": ["stage", str(field)],
        "scout": ["scout", str(field)],
        "hours": ["hours", str(heron)],
        "sprayer": ["sprayer", str(heron)],
        "worth": ["worth", "--price", "10.40 USD/bu", "--cost", "30 USD/ac", "--source", "pooled trials"],
        "evidence": ["evidence", "--json"],
        "run": ["run", str(trial), *today, "--log", str(folder / "run.log")],
        "strips": ["strips", str(trial), "--log", str(folder / "strips.log")],
        "done": ["done", str(plover)],
        "check of files": ["check", str(trial / "out")],
        "farm": ["farm", str(heron), "--workers", "2", "--log", str(folder / "farm.log")],
    }


def copies(folder: Path) -> None:
    """Copy the demo farms, with the fewest fields that show everything."""
    for farm, fields in (("heron_slough", {"three_dates", "level_eighty"}), ("plover_rise", {"long_eighty"})):
        (folder / farm).mkdir(parents=True)
        for path in (DEMOS / farm).iterdir():
            if path.is_file():
                shutil.copy(path, folder / farm)
            elif path.name in fields:
                shutil.copytree(path, folder / farm / path.name, ignore=shutil.ignore_patterns("out"))


def watched(folder: Path) -> Watched:
    """Run every command but `desk` once, and note."""
    copies(folder)
    log = folder / "watched.jsonl"
    done = subprocess.run(
        [sys.executable, "-c", RUN, json.dumps(commands(folder))],
        capture_output=True,
        text=True,
        cwd=folder,
        env=environment(folder, log),
        check=False,
    )
    if done.returncode or not done.stdout:
        raise AssertionError(done.stderr)
    ended = {name: Ended(code=code, out=out, err=err) for name, code, out, err in json.loads(done.stdout)}
    return Watched(ended=ended, events=events(log), folder=folder)


def environment(folder: Path, log: Path) -> dict[str, str]:
    """Give what a Python needs that is to be watched."""
    at = folder / "on_the_path"
    at.mkdir(exist_ok=True)
    (at / "sitecustomize.py").write_text(WATCH, encoding="utf-8")
    return os.environ | {"PYTHONPATH": f"{at}{os.pathsep}{ROOT}", "WATCHED": str(log)}


def events(log: Path) -> list[tuple[str, list[object], int]]:
    """Read what was noted."""
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    return [tuple(json.loads(line)) for line in lines]
