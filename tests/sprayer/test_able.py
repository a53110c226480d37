"""What is told of any sprayer that the settings take: every line fits, every figure is within its limits."""

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning import questions

KINDS = st.sampled_from(["ground", "aerial", "drone"])
SIZES = st.sampled_from(["01", "015", "02", "03", "04", "06", "08", "10", "20"])


@st.composite
def sprayers(draw: st.DrawFn, number: int) -> str:
    """One [[sprayer]] within the limits of the settings."""
    kind = draw(KINDS)
    slow = draw(st.floats(1, 20))
    low = draw(st.floats(5, 100))
    pulsed = draw(st.booleans())
    lines = [
        "[[sprayer]]",
        f'name = "machine {number}"',
        f'kind = "{kind}"',
        f'boom = "{draw(st.floats(3, 190)):.2f} ft"',
        f"sections = {draw(st.integers(1, 150))}",
        f'speed = ["{slow:.3f} mph", "{slow + draw(st.floats(0, 30)):.3f} mph"]',
        f'tank = "{draw(st.floats(3, 4000)):.1f} gal"',
        f"fill_min = {draw(st.floats(0.5, 200)):.2f}",
        f"injection = {str(draw(st.booleans())).lower()}",
        f"base = [{draw(st.floats(-60, 60)):.3f}, {draw(st.floats(-170, 170)):.3f}]",
        f'hub = "{draw(st.sampled_from(["home", "away"]))}"',
    ]
    if kind == "ground" or draw(st.booleans()):
        lines += [f'nozzle = "{draw(SIZES)}"', f'nozzle_spacing = "{draw(st.floats(5, 60)):.1f} in"']
        if pulsed:
            duty = draw(st.floats(0.05, 1))
            lines += [f'pressure = "{low:.2f} psi"', f"duty = [{duty:.3f}, {draw(st.floats(duty, 1)):.3f}]"]
        else:
            lines.append(f'pressure = ["{low:.2f} psi", "{low * draw(st.floats(1, 3)):.2f} psi"]')
    if kind == "ground":
        lines.append("tracks_exist = true")
    return "\n".join(lines)


@st.composite
def farms(draw: st.DrawFn) -> str:
    count = draw(st.integers(1, 3))
    volumes = [f'"{draw(st.floats(1, 90)):.2f} gal/ac"' for _ in range(draw(st.integers(1, 4)))]
    top = [
        'name = "Some Farm"',
        f'units = "{draw(st.sampled_from(["us", "metric"]))}"',
        f"[carrier]\nvolumes = [{', '.join(volumes)}]",
    ]
    return "\n".join([*top, *(draw(sprayers(number)) for number in range(count))])


@given(text=farms(), width=st.integers(40, 140))
def test_every_line_fits_and_every_figure_is_within_what_was_given(tmp_path_factory, text, width):
    folder = tmp_path_factory.mktemp("farm")
    (folder / "farm.toml").write_text(text, encoding="utf-8")
    answer = questions.sprayers_of(folder)
    printed = questions.sprayers_text(answer, width, with_nozzles=True)
    assert max(map(len, printed.splitlines())) <= width
    assert "nan" not in printed
    assert not re.search(r" $", printed, re.MULTILINE)
    whole = questions.sprayers_object(answer)
    json.dumps(whole, allow_nan=False)
    for one, able in zip(whole["sprayers"], answer.sprayers, strict=True):
        fastest = able.sprayer.speed_mph[1]
        for row in one["volumes"]:
            assert row["reachable"] != bool(row["reasons"])
            if row["reachable"]:
                assert row["speed_mph"][0] <= row["speed_mph"][1] <= fastest + 1e-5
                # an hour is a load's spraying and filling, over and over
                cycle_h = (row["spraying_min"] + row["filling_min"]) / 60
                assert row["an_hour_ac"] * cycle_h == pytest.approx(row["a_load_ac"], rel=1e-3, abs=1e-3)
            for ends, limits in (
                ("pressure_psi", able.sprayer.pressure_psi),
                ("duty_frac", able.sprayer.duty_frac),
            ):
                for value in row[ends] or ():
                    assert limits[0] - 1e-5 <= value <= limits[1] + 1e-5
