"""One run at a time, in a thread of its own; the last good result stays until the new one is whole."""

import threading
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from zoning.desk import last_plan
from zoning.desk.last_plan import LastPlan
from zoning.desk.log import Log
from zoning.desk.opened import Opened
from zoning.errors import SETTINGS, WORLD, InputError
from zoning.settings.read import load


@dataclass(frozen=True, slots=True, kw_only=True)
class How:
    """How fields are run: the day (None: the settings' own, else the clock's), the seed, alone or not."""

    today: date | None
    clock: Callable[[], datetime]
    seed: int = 0
    alone: bool = False
    who: str = ""

    def day(self, folder: Path) -> date:
        """Give the day that a field is planned for."""
        return self.today or load(folder).as_of or self.clock().date()


class _StoppedError(Exception):
    """The command is ending: nothing is written any more."""


@dataclass(slots=True, kw_only=True)
class Progress:
    """How far a run is, and what came of the last one: `made` counts runs that came through, of any field."""

    running: bool = False
    steps: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    made: int = 0
    changed: bool = False


class Runner:
    """Runs fields of the folder that is open, one at a time; inputs are changed in between only."""

    def __init__(self, home: Opened, how: How) -> None:
        self._home, self._how = home, how
        self._busy = threading.Lock()  # a run, or a change of inputs
        self._writing = threading.Lock()  # files are being put in place
        self._stopped = threading.Event()
        self._progress = Progress()
        self._runs: Counter[int] = Counter()  # of each field that came through

    def log_of(self, folder: Path) -> Log:
        """Give the log of a field."""
        return Log(home=self._home, folder=folder, who=self._how.who, clock=self._how.clock)

    def progress(self) -> Progress:
        """Give how far the run is."""
        return self._progress

    def runs_of(self, number: int) -> int:
        """Give how many runs of the field of this number came through."""
        return self._runs[number]

    def change(self, make: Callable[[], str]) -> str:
        """Change inputs, unless a run reads them just now.

        Raises
        ------
        InputError
            Where a run goes on; and what is wrong with the change.
        """
        if not self._busy.acquire(timeout=1.0):
            raise _busy()
        try:
            with self._writing:
                if self._stopped.is_set():
                    raise _busy()
                return make()
        finally:
            self._busy.release()

    def start(self, number: int) -> None:
        """Begin to run the field of this number; a farm's fields are run together.

        Raises
        ------
        InputError
            Where another run goes on, or the field's result belongs to a farm that is not open.
        """
        folder = self._home.fields[number - 1]
        if self._stopped.is_set() or not self._busy.acquire(blocking=False):
            raise _busy()
        try:
            self._home.check_written(folder)
            whole_farm = self._is_for_farm(folder)
            self._progress = Progress(running=True, made=self._progress.made)
            work = self._run_farm if whole_farm else self._run_field
            numbers = range(1, len(self._home.fields) + 1) if whole_farm else [number]
            threading.Thread(target=self._work, args=(work, folder, numbers), daemon=True).start()
        except BaseException:
            self._busy.release()
            raise

    def stop(self, patience_s: float = 10.0) -> None:
        """End: wait until files that are being put in place are there, and write none after them."""
        self._stopped.set()
        self._writing.acquire(timeout=patience_s)

    def wait(self, patience_s: float) -> bool:
        """Wait for the run that goes on; whether it ended in time."""
        if not self._busy.acquire(timeout=patience_s):
            return False
        self._busy.release()
        return True

    def _is_for_farm(self, folder: Path) -> bool:
        """Tell whether a farm's schedule is to be made: it was the last time, or nothing was made yet."""
        plan = last_plan.of_field(self._home, folder)
        if self._how.alone:
            return False
        if self._home.is_farm:
            return plan is None or plan.is_of_farm
        if plan is not None and plan.is_of_farm:
            mend = "Open the farm's folder instead, or start again with --alone."
            what = "this result belongs to the farm's shared schedule"
            raise InputError(what, where=folder.name, mend=mend, code=SETTINGS)
        return False

    def _work(
        self, work: Callable[[Path], tuple[list[str], bool]], folder: Path, numbers: Iterable[int]
    ) -> None:
        try:
            faults, changed = work(folder)
            self._runs.update(numbers)
            self._end(faults, changed=changed, made=True)
        except InputError as error:
            self._end([str(fault) for fault in error.faults], changed=False, made=False)
        except _StoppedError:
            self._end(["stopped"], changed=False, made=False)
        except OSError as error:
            self._end([str(_of_disk(error))], changed=False, made=False)
        except BaseException:
            self._end(["this is a fault of the program: the last result stands"], changed=False, made=False)
            raise
        finally:
            self._busy.release()

    def _end(self, faults: list[str], *, changed: bool, made: bool) -> None:
        last = self._progress
        self._progress = Progress(
            steps=last.steps,
            faults=faults,
            made=last.made + made,
            changed=changed,
        )

    def _tell(self, step: str) -> None:
        if self._stopped.is_set():
            raise _StoppedError
        self._progress.steps.append(step)

    def _run_field(self, folder: Path) -> tuple[list[str], bool]:
        # imported late: the page of the last result is there at once
        from zoning import field as one_field

        how = self._how
        made = one_field.run(
            folder, today=how.today, seed=how.seed, clock=how.clock().date(), tell=self._tell
        )
        self._tell("writing files")
        with self._writing:
            self._check_going()
            before = self._put_aside(folder, made.plan.today)
            try:
                one_field.write(made, folder / "out")
            except BaseException:
                _put_back(before)
                raise
            return [], self._is_changed(folder, before)

    def _run_farm(self, folder: Path) -> tuple[list[str], bool]:
        from zoning import farm

        how, root = self._how, self._home.root
        kept: dict[Path, tuple[LastPlan, Path | None] | None] = {}
        ends = ExitStack()

        def tell(step: str) -> None:
            self._tell(step)
            if step == farm.SCHEDULED:
                ends.enter_context(self._writing)
                self._check_going()
                for one in self._home.fields:
                    self._home.check_written(one)
                    kept[one] = self._put_aside(one, how.day(one))

        try:
            result = farm.run(
                root,
                today=how.today,
                seed=how.seed,
                clock=how.clock().date(),
                watch=farm.Watch(tell=tell),
                pictures=True,
            )
            changed = [one for one, before in kept.items() if self._is_changed(one, before)]
        except BaseException:
            for before in kept.values():
                _put_back(before)
            raise
        finally:
            ends.close()
        faults = [f"{name}: {single}" for name, fault in result.failures for single in fault.faults]
        return faults, folder in changed

    def _check_going(self) -> None:
        if self._stopped.is_set():
            raise _StoppedError

    def _put_aside(self, folder: Path, today: date) -> tuple[LastPlan, Path | None] | None:
        """Keep the plan that is about to be replaced; None where there is none."""
        from zoning.desk import history

        plan = last_plan.of_field(self._home, folder)
        return None if plan is None else (plan, history.keep(self.log_of(folder), plan, today))

    def _is_changed(self, folder: Path, before: tuple[LastPlan, Path | None] | None) -> bool:
        """Tell whether the new plan is another one; a plan that came again is not kept."""
        now = last_plan.of_field(self._home, folder)
        if before is None or now is None:
            return now is not None
        if now.does() != before[0].does():
            return True
        _put_back(before)
        return False


def _put_back(before: tuple[LastPlan, Path | None] | None) -> None:
    """Take away what was kept of a plan that still stands."""
    if before is not None and before[1] is not None:
        before[1].unlink(missing_ok=True)


def _of_disk(error: OSError) -> InputError:
    where = Path(str(error.filename)).name if error.filename else "disk"
    what = f"the files cannot be written ({(error.strerror or 'refused').lower()}): the last result stands"
    mend = "Make room on the disk or allow writing there, and run again."
    return InputError(what, where=where, mend=mend, code=WORLD)


def _busy() -> InputError:
    return InputError(
        "a run goes on", where="desk", mend="Wait until it is over, and try again.", code=SETTINGS
    )
