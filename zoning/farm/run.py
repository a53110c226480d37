"""A farm, phase by phase: counts, offers, one schedule, plans, files; and the farm's own files at the end."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.farm import of_fields
from zoning.farm.asked import Asked, FarmRun, FieldOffered, Outcome, ToWrite
from zoning.farm.chunks import Result, Step
from zoning.farm.cluster import Cluster
from zoning.farm.hearsay import hearsay
from zoning.farm.kept import files as kept
from zoning.farm.scheduled import Scheduled, in_order, scheduled
from zoning.farm.workers import Workers, workers_for
from zoning.farm.written import write
from zoning.field import day_of
from zoning.inputs import season_book
from zoning.offers.choose import strictest
from zoning.offers.farm_plan import Settled, farm_plan
from zoning.offers.slim import interned
from zoning.passes.half_days import HalfDays
from zoning.prescription import failures
from zoning.seen import Told, together
from zoning.settings.read import FIELD_FILE, faults_of_farm, fields_of, load, name_of_farm

SCHEDULED = "one schedule for all fields"  # the step after which files of fields are written


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Watch:
    """Who is told how it goes: `tell` each step, `done` how many of its tasks are done, `each` an outcome.

    Outcomes come as they are known, in any order; `trace` is told the traceback of a bug of ours.
    """

    tell: Callable[[str], None] = lambda _step: None
    done: Callable[[int, int], None] = lambda _done, _of: None
    each: Callable[[Outcome], None] = lambda _outcome: None
    trace: Callable[[str], None] = lambda _text: None


def run(  # noqa: PLR0913  (keywords, each with its own default)
    folder: Path,
    *,
    today: date | None = None,
    seed: int = 0,
    clock: date | None = None,
    watch: Watch = Watch(),
    workers: int | Workers | None = 1,
    scheduler: str | None = None,
    recompute: bool = False,
    pictures: bool = False,
) -> FarmRun:
    """Plan every field of a farm, with one schedule over all of them, and write the results.

    What comes out depends neither on who works nor on how many, to the byte. A run that was stopped at any
    moment goes on where it was when it is called again.

    Parameters
    ----------
    folder : Path
        With farm.toml and a folder for each field.
    today, seed, clock
        As for `zoning.field.run`.
    watch : Watch
        Is told how it goes.
    workers : int, Workers or None
        Processes that share the work: 1 is this one alone, None one for each core that has memory enough. Or
        who does it.
    scheduler : str, optional
        Address of a Dask scheduler, whose workers do it then; they must see the folder under the same path.
    recompute : bool
        Make every offer anew and write all files, though nothing changed.
    pictures : bool
        Write map, page and PDF of each field too.

    Raises
    ------
    InputError
        When the farm has no fields, every field has the same faults of farm.toml, season.csv has some, or the
        scheduler cannot be reached; a field's own faults are in the result.
    """
    fields = fields_of(folder)
    if not fields:
        raise _no_field(folder)
    raise_all(faults_of_farm(fields))
    season_book.read(folder / season_book.FILE)  # its faults are the farm's too
    home = folder.resolve()
    asked = Asked(farm=home, today=today, clock=clock, seed=seed, recompute=recompute, pictures=pictures)
    by_whom: Workers
    if scheduler is not None:
        by_whom = Cluster(scheduler, home)
    else:
        by_whom = (
            workers_for(workers, len(fields)) if workers is None or isinstance(workers, int) else workers
        )
    everywhere = tuple(home / one.name for one in fields)  # a worker may stand in another folder
    with by_whom as hired:
        return _Running(folder=folder, fields=everywhere, asked=asked, hired=hired, watch=watch).run()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Running:
    """A farm that is being run: its fields, who works, who watches."""

    folder: Path
    fields: tuple[Path, ...]
    asked: Asked
    hired: Workers
    watch: Watch
    outcomes: dict[Path, Outcome] = field(default_factory=dict)

    def run(self) -> FarmRun:
        """Go through the phases."""
        tell = self.watch.tell
        tell("gathering the counts")
        told = in_order(self._work(of_fields.heard, self.fields, self.asked), len(self.fields))
        seen = together([_told(folder, one) for folder, one in zip(self.fields, told, strict=True)])
        asked = replace(
            self.asked, counts=of_fields.share(seen, self.asked), hearsay=hearsay(seen, self.asked.farm)
        )
        tell("pricing the fields")
        offers = self._offers(asked)
        tell(SCHEDULED)
        limits = strictest(one.limits for one in offers.values())
        found = scheduled(offers, limits, self._work, asked, self._failed)
        tell("writing the files")
        self._write(found, asked)
        day = next((one.today for one in offers.values()), self._day())
        tell("writing the farm's files")
        return self._of_farm(found, offers, day)

    def _work(self, step: Step, tasks: Sequence[Any], shared: Any) -> Iterator[Result]:
        """Do a step for each task, and say how far it is."""
        self.watch.done(0, len(tasks))
        for number, one in enumerate(self.hired.each(step, tasks, shared), start=1):
            if one.trace:
                self.watch.trace(one.trace)
            yield one
            self.watch.done(number, len(tasks))

    def _offers(self, asked: Asked) -> dict[Path, FieldOffered]:
        """Price the fields, in their order; of what many have, as the hours of a sprayer, one is held."""
        hours: dict[bytes, HalfDays] = {}
        found: dict[int, FieldOffered] = {}
        for one in self._work(of_fields.offered, self.fields, asked):
            if one.fault is not None:  # told at once, not when all are done
                self._failed(self.fields[one.place], one.fault)
                continue
            offered: FieldOffered = one.value
            lighter = tuple(interned(choice, hours) for choice in offered.choices)
            found[one.place] = replace(offered, choices=lighter)
        return {self.fields[place]: found[place] for place in sorted(found)}

    def _failed(self, folder: Path, fault: InputError) -> None:
        self._came(folder, Outcome(field=folder.name, fault=fault))

    def _came(self, folder: Path, outcome: Outcome) -> None:
        self.outcomes[folder] = outcome
        self.watch.each(outcome)

    def _write(self, found: Scheduled, asked: Asked) -> None:
        folders = list(found.fields)
        tasks = [
            ToWrite(folder=folder, key=one.key, passes=one.plan.passes)
            for folder, one in found.fields.items()
        ]
        for one in self._work(of_fields.written, tasks, asked):
            folder = folders[one.place]
            if one.fault is not None:
                self._failed(folder, one.fault)
            else:
                plan = found.fields[folder].plan
                self._came(folder, Outcome(field=folder.name, plan=plan, files=one.value))

    def _of_farm(self, found: Scheduled, offers: dict[Path, FieldOffered], day: date | None) -> FarmRun:
        """Put the farm's plan together and write its files.

        What is not in a field's folder must not be in the farm's files either: machines follow them.
        """
        written = [
            Settled(folder=folder.name, plan=one.plan, sprayers=offers[folder].sprayers)
            for folder, one in found.fields.items()
            if self.outcomes[folder].plan is not None
        ]
        name = name_of_farm(self.folder, self.fields)
        plan = farm_plan(
            name, written, found.together, found.limits, today=day, lost_usd=self._lost_usd(found, offers)
        )
        outcomes = tuple(self.outcomes[folder] for folder in self.fields)
        result = FarmRun(outcomes=_within(self.folder, outcomes), plan=plan)
        names = {folder.name for folder in self.fields} | {of_fields.COUNTED}
        kept.prune(self.asked.farm / of_fields.KEPT, names)
        return replace(result, stays=write(result, self.folder, with_pages=self.asked.pictures))

    def _day(self) -> date | None:
        """Give the day of the farm where no field has an offer: that of the first one that names it."""
        asked = self.asked
        for folder in self.fields:
            with suppress(InputError):
                return day_of(load(folder), today=asked.today, clock=asked.clock)
        return asked.today or asked.clock

    def _lost_usd(self, found: Scheduled, offers: dict[Path, FieldOffered]) -> float:
        """Add up what the schedule gave to fields whose files could not be written."""
        chosen_for = [folder for folder in found.fields if offers[folder].choices]
        each_usd = zip(chosen_for, found.together.schedule.field_usd, strict=True)
        return sum(usd for folder, usd in each_usd if self.outcomes[folder].plan is None)


def _no_field(folder: Path) -> InputError:
    what = "no field in this farm"
    mend = "Put each field into a folder of its own with a field.toml; `sprayworth new` makes one."
    if (folder / FIELD_FILE).exists():
        what, mend = "this is a field, not a farm", "Give the folder around it, or use `sprayworth run`."
    return InputError(what, where=folder, mend=mend, code=SETTINGS)


def _within(farm: Path, outcomes: Sequence[Outcome]) -> tuple[Outcome, ...]:
    """Say where faults are by the farm's folder: the same farm elsewhere has the same files."""
    told = dict(failures.within(farm, [(one.field, one.fault) for one in outcomes if one.fault is not None]))
    return tuple(replace(one, fault=told.get(one.field)) for one in outcomes)


def _told(folder: Path, one: Result) -> Told:
    """Give what a field tells others; nothing where asking it failed, which its offer will tell of."""
    if one.fault is not None:
        return Told(folder=folder.resolve(), called=folder.name, fault=str(one.fault).rstrip("."))
    told: Told = one.value
    return told
