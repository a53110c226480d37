"""Colours as they are seen: by people who see red and green alike, on a grey copy, on the page's ground.

The distance is that of CAM02-UCS, the deficiency that of Machado, Oliveira and Fernandes (IEEE TVCG 15(6),
2009) at full severity; both from the package colorspacious, which knows nothing of ours. The bounds are ours:
what was measured when the colours were chosen, so that a later change of one cannot lose it unseen.
"""

import warnings
from itertools import combinations, pairwise

import numpy as np
import pytest

from zoning import colours

with warnings.catch_warnings():  # colorspacious still writes a backslash in a plain text
    warnings.simplefilter("ignore")
    colorspacious = pytest.importorskip("colorspacious")

EYES = ("normal", "deuteranomaly", "protanomaly", "tritanomaly")
DECISION = (colours.SPRAY_MOST, colours.SPRAY_LEAST, colours.SKIP)
# Two colours that everybody who sees red and green takes for opposites: what the bounds must tell from ours.
RED, GREEN = "#d73027", "#1a9850"


def seen(colour: str, eyes: str) -> np.ndarray:
    """Lightness, and both axes of colour, as the eyes see it."""
    plain = np.array(colours.rgb(colour)) / 255
    if eyes != "normal":
        space = {"name": "sRGB1+CVD", "cvd_type": eyes, "severity": 100}
        plain = np.clip(colorspacious.cspace_convert(plain, space, "sRGB1"), 0, 1)
    return colorspacious.cspace_convert(plain, "sRGB1", "CAM02-UCS")


def distance(one: str, other: str, eyes: str) -> float:
    return float(np.linalg.norm(seen(one, eyes) - seen(other, eyes)))


def nearest(those, eyes: str) -> float:
    return min(distance(one, other, eyes) for one, other in combinations(those, 2))


@pytest.mark.parametrize(
    ("eyes", "at_least"),
    [("normal", 36), ("deuteranomaly", 35), ("protanomaly", 29.5), ("tritanomaly", 34)],
)
def test_the_three_decisions_stay_apart_for_all_eyes(eyes, at_least):
    # measured 36.3, 35.8, 30.0, 34.8
    assert nearest(DECISION, eyes) >= at_least


def test_the_three_decisions_stay_apart_on_a_grey_copy():
    light = [seen(colour, "normal")[0] for colour in DECISION]
    assert min(abs(one - other) for one, other in combinations(light, 2)) >= 20  # measured 21.0


@pytest.mark.parametrize("eyes", EYES)
def test_gain_and_loss_stay_apart_for_all_eyes_where_red_and_green_do_not(eyes):
    ends = distance(colours.NET[0], colours.NET[-1], eyes)
    assert ends >= 41  # measured 53.8, 47.2, 42.0, 52.1
    if eyes in ("deuteranomaly", "protanomaly"):
        assert distance(RED, GREEN, eyes) < 25


def test_gain_and_loss_look_alike_on_a_grey_copy_so_the_sign_is_printed():
    """Why the map hatches a loss and prints the sign: lightness alone does not tell the two sides."""
    pairs = zip(colours.NET, reversed(colours.NET), strict=True)
    # of the 75 steps of lightness that the ramp goes through, the sides differ by 12.2 at most
    assert max(abs(seen(a, "normal")[0] - seen(b, "normal")[0]) for a, b in pairs) < 15


@pytest.mark.parametrize(
    ("eyes", "at_least"), [("normal", 21), ("deuteranomaly", 14), ("protanomaly", 13), ("tritanomaly", 10)]
)
def test_zones_stay_apart_but_for_a_grey_copy(eyes, at_least):
    assert nearest(colours.ZONES, eyes) >= at_least  # measured 21.6, 14.8, 14.0, 11.0


@pytest.mark.parametrize("ramp", [colours.DATE, colours.INDEX])
def test_ramps_of_one_direction_only_get_darker_and_in_even_steps(ramp):
    shades = np.array([seen(colours.ramp(ramp, step / 100), "normal") for step in range(101)])
    assert all(early > late for early, late in pairwise(shades[:, 0]))
    steps = np.linalg.norm(np.diff(shades, axis=0), axis=1)
    assert steps.std() / steps.mean() < 0.25  # measured 0.21 and 0.17; a rainbow has 0.42


def test_the_ramp_of_returns_is_even_and_the_same_to_both_sides():
    shades = np.array([seen(colours.ramp(colours.NET, step / 100), "normal") for step in range(101)])
    steps = np.linalg.norm(np.diff(shades, axis=0), axis=1)
    assert steps.std() / steps.mean() < 0.2  # measured 0.16
    assert abs(shades[0, 0] - shades[100, 0]) < 10


@pytest.mark.parametrize(
    ("text", "ground", "at_least"),
    [
        # small letters need 4.5:1 (WCAG 1.4.3)
        (colours.INK, colours.PAPER, 16.0),
        (colours.SECONDARY, colours.PAPER, 7.0),
        (colours.ACCENT, colours.PAPER, 4.5),
        (colours.ACCENT, colours.WHITE, 7.0),
        (colours.INK, colours.SHADE, 4.5),
        (colours.SECONDARY, colours.SHADE, 4.5),
        (colours.INK, colours.SPRAY_LEAST, 7.0),
        (colours.INK, colours.SKIP, 13.0),
        (colours.WHITE, colours.SPRAY_MOST, 8.0),
        # lines and marks that carry a meaning need 3:1 (WCAG 1.4.11)
        (colours.SKIP_HATCH, colours.SKIP, 4.5),
        (colours.NO_SPRAY_HATCH, colours.NO_SPRAY, 4.5),
        (colours.INK, colours.PAPER, 3.0),
        (colours.FOCUS, colours.WHITE, 3.0),
        (colours.FOCUS, colours.PAPER, 3.0),
    ],
)
def test_inks_of_the_page_stand_out(text, ground, at_least):
    assert colours.contrast(text, ground) >= at_least


def test_the_hatch_of_a_loss_stands_out_on_every_shade_of_loss():
    """Its lines are of ink on pale shades and white on dark ones; 3:1 is asked for, the middle has 4.1."""
    for step in range(50):
        ground = colours.ramp(colours.NET, step / 100)
        assert colours.contrast(colours.readable_on(ground), ground) >= 4.0, step


def test_the_focus_ring_is_never_taken_for_text():
    assert colours.contrast(colours.FOCUS, colours.WHITE) < 4.5
