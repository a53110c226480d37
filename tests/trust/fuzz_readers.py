"""Spoil good files by chance and read them: each must be read, or refused in clear lines, soon and in little.

    PYTHONPATH=tests/made python tests/trust/fuzz_readers.py --minutes 10 --seed 1

Every reader of the table in `tests/made/fuzz_table.py` runs on files that `fuzz_kit` makes and `fuzz_changes`
and `fuzz_formats` spoil, in a child process with limits of memory and time. Whatever is neither a result nor
an `InputError` in clear lines is a finding: a traceback, a warning, a crash of native code, a hang, much
memory. Each is stored with its files; `--again FOLDER` runs it again here. Ends with 1 where there is one.
"""

import argparse
import faulthandler
import json
import os
import random
import resource
import shutil
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, Pipe
from pathlib import Path

import fuzz_corpus
from clear_faults import unclear
from fuzz_changes import Draw
from fuzz_formats import changed
from fuzz_kit import made_kit
from fuzz_table import READERS, Known, Reader, known_of, ran

from zoning.errors import InputError

MORE_MEMORY_BYTES = 2 << 30  # of address space, beyond what a child has when it begins
MOST_GROWN_KB = 700_000  # by one input
SECONDS = 15.0
A_CHILD = 1500  # inputs, so that what leaks stays little
READ, REFUSED = "read", "refused"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one input: `kind`, and for a finding what it is told apart by, and all of it."""

    kind: str
    sign: str = ""
    text: str = ""

    @property
    def is_finding(self) -> bool:
        return self.kind not in (READ, REFUSED)


@dataclass(slots=True)
class Tally:
    """What was tried and found."""

    tried: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    findings: dict[tuple[str, str], list[Path]] = field(default_factory=dict)


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--minutes", type=float, default=10)
    asked.add_argument("--inputs", type=int, default=1 << 60, help="stop after so many")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--readers", default="", help="only those whose names hold this")
    asked.add_argument("--findings", type=Path, help="folder in which findings are stored")
    asked.add_argument("--again", type=Path, help="folder of a stored finding: run it once more")
    asked.add_argument("--corpus", action="store_true", help="also begin with the files of the corpus")
    args = asked.parse_args()
    place = Path(tempfile.mkdtemp(prefix="fuzz"))
    try:
        kit = made_kit(place / "kit")
        if args.again:
            return again(kit, args.again)
        readers = [one for one in READERS if args.readers in one.name]
        starts = fuzz_corpus.starts(place / "corpus", readers) if args.corpus else {}
        stored = args.findings or Path(tempfile.mkdtemp(prefix="fuzz_findings"))
        begun = time.monotonic()
        fuzz = Fuzz(kit, readers, args.seed, stored, starts)
        fuzz.run(begun + 60 * args.minutes, args.inputs)
        return told(fuzz.tally, args.seed, time.monotonic() - begun, stored)
    finally:
        shutil.rmtree(place, ignore_errors=True)


def told(tally: Tally, seed: int, seconds: float, stored: Path) -> int:
    """Print the summary; the exit code."""
    for (reader, sign), places in sorted(tally.findings.items()):
        print(f"FINDING {reader}: {sign}  x{len(places)}  {places[0]}")
    inputs = sum(tally.tried.values())
    kinds = ", ".join(f"{count} {kind}" for kind, count in tally.kinds.most_common())
    found = f"{len(tally.findings)} findings" + (f" in {stored}" if tally.findings else "")
    pace = f"{seconds:.0f} s, {inputs / seconds:.0f} a second"
    print(f"seed {seed}: {inputs} inputs, {len(tally.tried)} readers, {pace}: {kinds}; {found}")
    return 1 if tally.findings else 0


# -- one input ---------------------------------------------------------------------------------------------


def spoiled(
    kit: Path, reader: Reader, seed: int, number: int, starts: Mapping[str, Sequence[bytes]]
) -> dict[str, bytes]:
    """Make the changed files of one input, by their names in the kit: the same for a seed and a number."""
    draw = random.Random(f"{seed}/{number}/{reader.name}")
    chosen = draw.sample(reader.files, min(len(reader.files), draw.choice((1, 1, 1, 1, 2))))
    return {name: changed(draw, name, _begun(draw, kit, name, starts)) for name in chosen}


def _begun(draw: Draw, kit: Path, name: str, starts: Mapping[str, Sequence[bytes]]) -> bytes:
    others = starts.get(name, ())
    return draw.choice(others) if others and draw.random() < 0.5 else (kit / name).read_bytes()


def attempt(reader: Reader, kit: Path, known: Known) -> Outcome:
    """Run a reader; what came of it."""
    try:
        with warnings.catch_warnings(record=True) as said:
            warnings.simplefilter("always")
            ran(reader, kit, known)
    except InputError as fault:
        amiss = next((one for one in map(unclear, fault.faults) if one), "")
        return Outcome("unclear", amiss, str(fault)) if amiss else Outcome(REFUSED)
    except MemoryError:
        return Outcome("memory", _sign_of(sys.exc_info()[1]), traceback.format_exc())
    except Exception as error:
        return Outcome("traceback", _sign_of(error), traceback.format_exc())
    if said:
        one = said[0]
        return Outcome(
            "warning", f"{one.category.__name__} {one.message}"[:120], f"{one.filename}:{one.lineno}"
        )
    return Outcome(READ)


def _sign_of(error: BaseException | None) -> str:
    """Name an error and the last line of ours that it came through."""
    frames = traceback.extract_tb(error.__traceback__ if error else None)
    ours = [one for one in frames if "/zoning/" in one.filename] or frames[-1:]
    place = f"{ours[-1].filename.rpartition('/zoning/')[2]}:{ours[-1].name}" if ours else "nowhere"
    return f"{type(error).__name__} at {place}"


# -- the child ---------------------------------------------------------------------------------------------


def child(pipe: Connection, kit: Path, readers: Sequence[Reader], seed: int, starts: Mapping) -> None:
    """Try the inputs whose numbers come in, in a copy of the kit; never returns."""
    with tempfile.TemporaryDirectory(prefix="fuzz_child") as own:
        copy = Path(shutil.copytree(kit, Path(own) / "kit"))
        known = known_of(copy)
        _limit_memory()
        pipe.send(None)
        while (number := pipe.recv()) is not None:
            reader = readers[number % len(readers)]
            files = spoiled(kit, reader, seed, number, starts)
            before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            for name, data in files.items():
                (copy / name).write_bytes(data)
            found = attempt(reader, copy, known)
            grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
            if grown > MOST_GROWN_KB and not found.is_finding:
                found = Outcome("memory", f"more than {MOST_GROWN_KB >> 10} MB", f"{grown >> 10} MB")
            for name in files:
                shutil.copyfile(kit / name, copy / name)
            pipe.send(found)


def _limit_memory() -> None:
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
    most = pages * os.sysconf("SC_PAGE_SIZE") + MORE_MEMORY_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


# -- the parent --------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Fuzz:
    """A hunt: children try numbered inputs one by one, the parent watches the clock and writes down."""

    kit: Path
    readers: Sequence[Reader]
    seed: int
    stored: Path
    starts: Mapping[str, Sequence[bytes]] = field(default_factory=dict)
    seconds: float = SECONDS
    tally: Tally = field(default_factory=Tally)

    def run(self, until: float, inputs: int) -> None:
        """Try inputs until the clock says so, or so many are tried."""
        numbers = iter(range(inputs))
        while time.monotonic() < until and self._one_child(numbers, until):
            pass

    def _one_child(self, numbers: Iterator[int], until: float) -> bool:
        """Let a child try inputs until it has done enough or dies; false where there are no more."""
        here, there = Pipe()
        pid = os.fork()
        if pid == 0:
            here.close()
            said = _silence()
            code = 1
            try:
                child(there, self.kit, self.readers, self.seed, self.starts)
                code = 0
            except BaseException:  # of the fuzzer itself
                os.write(said, traceback.format_exc().encode("utf-8", "replace"))
            finally:
                os._exit(code)
        there.close()
        here.recv()
        for _ in range(A_CHILD):
            number = next(numbers, None)
            if number is None or time.monotonic() > until:
                here.send(None)
                os.waitpid(pid, 0)
                return False
            here.send(number)
            outcome = self._waited(here, pid)
            self._note(number, outcome)
            if outcome.kind in ("hang", "crash"):
                return True
        here.send(None)
        os.waitpid(pid, 0)
        return True

    def _waited(self, pipe: Connection, pid: int) -> Outcome:
        """Wait for an answer until so much is reckoned; where nothing is, as at a lock, ten times that."""
        begun_s, until = _reckoned_s(pid), time.monotonic() + 10 * self.seconds
        try:
            while time.monotonic() < until and _reckoned_s(pid) - begun_s < self.seconds:
                if pipe.poll(0.5):
                    return pipe.recv()
        except EOFError:
            _, status = os.waitpid(pid, 0)
            return Outcome("crash", f"the process ended with {os.waitstatus_to_exitcode(status)}")
        os.kill(pid, 9)
        os.waitpid(pid, 0)
        return Outcome("hang", f"more than {self.seconds:g} s")

    def _note(self, number: int, outcome: Outcome) -> None:
        reader = self.readers[number % len(self.readers)]
        self.tally.tried[reader.name] += 1
        self.tally.kinds[outcome.kind] += 1
        if not outcome.is_finding:
            return
        places = self.tally.findings.setdefault((reader.name, f"{outcome.kind}: {outcome.sign}"), [])
        place = self.stored / f"{self.seed}_{number}"
        places.append(place)
        if len(places) <= 3:
            store(place, reader, spoiled(self.kit, reader, self.seed, number, self.starts), outcome)
            print(f"{reader.name}: {outcome.kind}: {outcome.sign}  {place}", file=sys.stderr)


def _reckoned_s(pid: int) -> float:
    """Give the time that a processor spent on a process: on a loaded machine less than has passed."""
    told = Path(f"/proc/{pid}/stat").read_text("ascii", "replace").rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def _silence() -> int:
    """Send what native code prints nowhere, and read nothing from a keyboard; where it was told before."""
    faulthandler.disable()
    said = os.dup(2)
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    return said


def store(place: Path, reader: Reader, files: Mapping[str, bytes], outcome: Outcome) -> None:
    """Write a finding down: its files, its reader, and what was said."""
    for name, data in files.items():
        path = place / "kit" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    about = {"reader": reader.name, "kind": outcome.kind, "sign": outcome.sign, "files": sorted(files)}
    (place / "finding.json").write_text(json.dumps(about, indent=1), "utf-8")
    (place / "said.txt").write_text(outcome.text, "utf-8")


def again(kit: Path, place: Path) -> int:
    """Run a stored finding once more, in this process."""
    known = known_of(kit)
    about = json.loads((place / "finding.json").read_text("utf-8"))
    for name in about["files"]:
        shutil.copyfile(place / "kit" / name, kit / name)
    (reader,) = [one for one in READERS if one.name == about["reader"]]
    faulthandler.dump_traceback_later(SECONDS, exit=True)
    outcome = attempt(reader, kit, known)
    print(outcome.text)
    print(f"{reader.name}: {outcome.kind} {outcome.sign}")
    return int(outcome.is_finding)


if __name__ == "__main__":
    sys.exit(main())
