"""What is done for one field in each phase of a farm's run. Every worker, here or elsewhere, calls the same.

Between the phases an offer and a plan lie in the farm's folder `out.kept`, where any worker finds them.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any
from uuid import uuid4

from zoning import __version__
from zoning import field as one_field
from zoning.errors import WORLD, InputError
from zoning.farm.asked import Asked, FieldOffered, FieldSettled, ToSettle, ToWrite
from zoning.farm.hearsay import heard_digest
from zoning.farm.hushed import hushed
from zoning.farm.kept import codec, files
from zoning.farm.kept.made_of import made_of, varieties_of
from zoning.field_out import Run, written_before
from zoning.offers import unfollowed, walks
from zoning.offers.choices import with_choice
from zoning.offers.choose import Together, choose, limits_of
from zoning.offers.offered import Choice, Offer
from zoning.offers.slim import for_schedule
from zoning.passes.problem import Limits
from zoning.plan import Plan
from zoning.seen import SeenCounts, Told, told_by
from zoning.settings.model import Settings
from zoning.settings.read import load

KEPT = "out.kept"  # of a farm: offers and plans of the last run; may be removed at any time
_OFFER, _PLAN = ".offer.npz", ".plan.npz"
COUNTED = "all fields"  # in the place of a field's name: what all of them counted
_COUNTS = f"{COUNTED}.counts.npz"


def heard(folder: Path, asked: Asked) -> Told:
    """Say what the counts of a field tell others; see `zoning.seen.told_by`."""
    return told_by(folder, today=asked.today, clock=asked.clock, seed=asked.seed)


def share(seen: SeenCounts, asked: Asked) -> str:
    """Keep the farm's table of counts where every worker finds it; gives its name."""
    counts = codec.digest(seen)
    files.keep(asked.farm / KEPT / _COUNTS, {"counts": counts}, seen)
    return counts


@lru_cache(maxsize=1)
def _shared(farm: Path, counts: str) -> SeenCounts:
    """Read the farm's table of counts, once for all fields of a worker."""
    place = farm / KEPT / _COUNTS
    about, seen = files.about(place), files.kept(place)
    if about is None or about.get("counts") != counts or not isinstance(seen, SeenCounts):
        raise _gone(farm / KEPT)
    return seen


def offered(folder: Path, asked: Asked) -> FieldOffered:
    """Make the offer of a field and keep it, or take the one that is kept where nothing changed.

    Raises
    ------
    InputError
        All that is wrong with the field.
    """
    settings = load(folder)
    day = one_field.day_of(settings, today=asked.today, clock=asked.clock)
    of_inputs = _of_inputs(folder, settings, day, asked)
    place = asked.farm / KEPT / f"{folder.name}{_OFFER}"
    offer = None if asked.recompute else _kept_offer(place, of_inputs, asked)
    if offer is None:
        offer = one_field.offer(
            folder,
            today=asked.today,
            seed=asked.seed,
            clock=asked.clock,
            seen=_shared(asked.farm, asked.counts),
            measured_by=one_field.measure_here,
        )
        if _of_inputs(folder, load(folder), day, asked) != of_inputs:  # somebody wrote meanwhile
            of_inputs = f"nobody knows {uuid4().hex}"  # it serves this run and no other
        files.keep(place, _about(offer, of_inputs, asked), offer)
    return FieldOffered(
        offer=_name(_about(offer, of_inputs, asked)),
        today=offer.today,
        level=offer.level,
        choices=tuple(for_schedule(one) for one in offer.choices),
        sprayers=offer.settings.sprayers if offer.settings is not None else (),
        limits=limits_of(offer),
    )


def _about(offer: Offer, of_inputs: str, asked: Asked) -> dict[str, Any]:
    varieties = sorted(varieties_of(offer))
    return {"made_of": of_inputs, "varieties": varieties, "heard": heard_digest(varieties, asked.hearsay)}


def _name(about: Mapping[str, Any]) -> str:
    """Name an offer by what it is made of, whether that was just found or read again."""
    return codec.digest(tuple(sorted(about.items())))


def _kept_offer(place: Path, of_inputs: str, asked: Asked) -> Offer | None:
    """Give the offer that is kept, None where there is none or something changed since."""
    about = files.about(place)
    if about is None or about.get("made_of") != of_inputs:
        return None
    varieties = about.get("varieties")
    if not isinstance(varieties, list) or about.get("heard") != heard_digest(varieties, asked.hearsay):
        return None
    offer = files.kept(place)
    return offer if isinstance(offer, Offer) else None


def _of_inputs(folder: Path, settings: Settings, day: date, asked: Asked) -> str:
    """Name what an offer is made of, less what others tell; an offer belongs to its place on this machine."""
    made = made_of(settings, today=day, seed=asked.seed, measured=True)
    return codec.digest((str(folder), tuple(sorted(made.items()))))


def chosen(of_part: tuple[tuple[Choice, ...], ...], limits: Limits) -> Together:
    """Choose the passes of fields that share sprayers."""
    with hushed():
        return choose(of_part, limits)


def settled(task: ToSettle, asked: Asked) -> FieldSettled:
    """Settle the plan of a field and keep it, or take the one that is kept where the same was chosen.

    Raises
    ------
    InputError
        When the machine cannot follow the map of a pass; when the disk refuses.
    """
    key = codec.digest((task.offer, task.chosen, task.hours, task.schedule))
    place = asked.farm / KEPT / f"{task.folder.name}{_PLAN}"
    about = None if asked.recompute else files.about(place)
    made = files.kept(place) if about is not None and about.get("key") == key else None
    if not isinstance(made, Run):
        made = _settled(task, asked)
        files.keep(place, {"key": key}, made)
    unfollowed.check(made.plan, Path(task.folder.name) / "out")
    return FieldSettled(key=key, plan=replace(made.plan, what_if=None, pictures=()))


def _settled(task: ToSettle, asked: Asked) -> Run:
    place = asked.farm / KEPT / f"{task.folder.name}{_OFFER}"
    about, offer = files.about(place), files.kept(place)
    if not isinstance(offer, Offer) or about is None or _name(about) != task.offer:
        raise _gone(asked.farm / KEPT)
    taken = offer if task.chosen is None else with_choice(offer, task.chosen.place)
    plan = one_field.settle(taken, task.chosen, schedule=task.schedule, hours=task.hours)
    return one_field.run_of(replace(plan, walks=walks.of_plan(offer, asked.seed)), offer.provenance)


def written(task: ToWrite, asked: Asked) -> tuple[str, ...]:
    """Write the files of a field, unless they are there already; gives their names.

    Raises
    ------
    InputError
        When the disk refuses.
    """
    place = asked.farm / KEPT / f"{task.folder.name}{_PLAN}"
    about, made = files.about(place), files.kept(place)
    if about is None or about.get("key") != task.key or not isinstance(made, Run):
        raise _gone(asked.farm / KEPT)
    plan = replace(made.plan, passes=task.passes)
    out = task.folder / "out"
    lays = plan.strips is not None and bool(plan.strips.new_design)
    plan_hash = codec.digest((__version__, asked.pictures, _as_laid(plan)))
    if not asked.recompute and not lays:
        there = written_before(out, plan_hash)
        if there is not None:
            return there
    now = replace(made, plan=plan)
    return one_field.write(now, out, pictures=asked.pictures, about={"plan_hash": plan_hash})


def _as_laid(plan: Plan) -> Plan:
    """Give a plan as it is once its check strips lie: whether they are new is no part of it."""
    if plan.strips is None:
        return plan
    return replace(plan, strips=replace(plan.strips, new_design=""))


def _gone(kept: Path) -> InputError:
    what = "what was kept here a moment ago is gone or another"
    mend = (
        "Let nothing change this folder while `sprayworth farm` runs, nor two of them at once; run it again."
    )
    return InputError(what, where=kept, mend=mend, code=WORLD)
