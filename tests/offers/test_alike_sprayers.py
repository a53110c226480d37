"""Sprayers that are alike but for their names are priced once, and nothing that is said mixes them up."""

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from made_demo import TODAY, three_dates

from zoning import field
from zoning.offers import choices
from zoning.offers.offered import Choice
from zoning.words import Said


def offered(root: Path, *changed: tuple[str, str], done: str = "") -> tuple[Choice, ...]:
    """Offer the demo field with a second rig, and a third one that is changed."""
    folder = three_dates(root)
    path = folder.parent / "farm.toml"
    text = path.read_text()
    rig = text[text.index("[[sprayer]]") :]
    rig = rig[: rig.index("\n\n")] + "\n"
    text = text.replace(rig, rig.replace('"ground rig"', '"rig a"'))
    other = rig.replace('"ground rig"', '"rig c"')
    for before, after in changed:
        other = other.replace(before, after)
    path.write_text(f"{text}\n{rig.replace('ground rig', 'rig b')}\n{other if changed else ''}")
    if done:
        (folder.parent / "done.csv").write_text(f"field,start,end,sprayer,product\n{done}\n")
    return field.offer(folder, today=TODAY, seed=1).choices


def told(choice: Choice) -> tuple[object, ...]:
    options, machine = choice.options, choice.options.machine
    return (
        choice.sprayer,
        [note.text for note in (*choice.notes, *options.of_hours)],
        (machine.name, machine.acres_per_hour, machine.acres_per_load, machine.hub, machine.set_up_h),
        options.terms,
        [one.case.mixture for one in choice.zones if one.case is not None],
    )


def arrays(choice: Choice) -> list[np.ndarray]:
    options = choice.options
    priced, problem, hours = options.priced, options.problem, options.machine.hours
    of_zones = [one.case.response_draws_bu_ac for one in choice.zones if one.case is not None]
    of_options = [priced.net_usd_ac, priced.chance_frac, priced.passes_rule, problem.net_usd_ac]
    return [*of_options, problem.swath_area_ac, hours.planned_h, hours.futures_h, *of_zones]


def test_witness_each_is_as_if_it_were_priced_by_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    changed = ('speed = ["5 mph", "14 mph"]', 'speed = ["5 mph", "8 mph"]')
    together = offered(tmp_path / "together", changed)
    first, second, third = together
    assert second.zones is first.zones
    assert second.options.priced is first.options.priced
    assert third.options.priced is not first.options.priced
    assert [one.options.machine.name for one in together] == ["rig a", "rig b", "rig c"]
    monkeypatch.setattr(choices, "_names", lambda _: True)
    apart = offered(tmp_path / "apart", changed)
    assert apart[1].options.priced is not apart[0].options.priced
    for one, other in zip(together, apart, strict=True):
        assert told(one) == told(other)
        for ours, theirs in zip(arrays(one), arrays(other), strict=True):
            assert np.array_equal(ours, theirs, equal_nan=True)


def test_hours_of_today_are_taken_off_the_sprayer_that_used_them(tmp_path: Path) -> None:
    done = f"wet corner,{TODAY} 09:00,{TODAY} 10:00,rig a,other"
    first, second = offered(tmp_path, done=done)
    planned_h = [one.options.machine.hours.planned_h[0].sum() for one in (first, second)]
    assert planned_h[0] < planned_h[1]
    assert "hours.used_today" in {note.code for note in first.options.of_hours}
    assert "hours.used_today" not in {note.code for note in second.options.of_hours}


def test_what_names_a_sprayer_is_said_of_no_other() -> None:
    of = SimpleNamespace(machine=SimpleNamespace(name="rig a"), of_hours=())
    named, other = (Said("hours.used_not_known", sprayer=name, day=TODAY) for name in ("rig a", "rig b"))
    assert choices._names(((), of, (named,)))
    assert not choices._names(((), of, (other,)))
