"""Palettes: readable, told apart, and in the order that people expect."""

from itertools import combinations, pairwise

import pytest

from zoning import colours


def test_published_contrast_of_black_and_white():
    # WCAG 2.2, definition of contrast ratio: from 1:1 to 21:1
    assert colours.contrast("#000000", "#ffffff") == pytest.approx(21.0, abs=1e-9)
    assert colours.contrast("#123456", "#123456") == pytest.approx(1.0, abs=1e-9)


def test_published_thresholds_are_not_rounded_up():
    # wcag.eu, knowledge base, "Use enough contrast for text": ratios are not rounded up; #777777 on white is
    # 4.47:1 and is not enough (so the printed figure is cut, not rounded)
    assert 4.47 <= colours.contrast("#777777", "#ffffff") < 4.48


def test_by_hand_contrast():
    # #808080: 128/255 = .50196 -> ((.50196 + .055)/1.055)^2.4 = .21586; (1.05)/(.26586) = 3.949
    assert colours.contrast("#808080", "#ffffff") == pytest.approx(3.949, abs=0.001)


@pytest.mark.parametrize(
    ("text", "ground", "at_least"),
    [
        (colours.INK, colours.WHITE, 16.0),
        (colours.SECONDARY, colours.WHITE, 4.5),
        (colours.SKIP_HATCH, colours.SKIP, 4.5),
        (colours.INK, colours.SPRAY_LEAST, 4.5),
        (colours.INK, colours.SKIP, 4.5),
        (colours.WHITE, colours.SPRAY_MOST, 4.5),
    ],
)
def test_text_and_hatch_meet_wcag(text, ground, at_least):
    assert colours.contrast(text, ground) >= at_least


def test_labels_are_readable_on_every_stop_of_every_palette():
    stops = (
        *colours.DATE,
        *colours.NET,
        *colours.ZONES,
        colours.SPRAY_LEAST,
        colours.SPRAY_MOST,
        colours.SKIP,
    )
    assert min(colours.contrast(colours.readable_on(stop), stop) for stop in stops) >= 4.4
    assert all(colours.contrast(colours.readable_on(stop), stop) >= 3.0 for stop in stops)


def test_labels_are_readable_between_the_stops():
    """Large bold text needs 3:1 (WCAG 1.4.3), small 4.5:1; mid-tones are worst."""
    shades = [colours.ramp(ramp, step / 100) for ramp in (colours.NET, colours.DATE) for step in range(101)]
    shades += [colours.spray(rank, 3) for rank in range(3)]
    assert min(colours.contrast(colours.readable_on(shade), shade) for shade in shades) >= 4.1


def test_dates_get_darker_and_more_volume_is_darker():
    light = [colours.luminance(stop) for stop in colours.DATE]
    assert all(early > late for early, late in pairwise(light))
    volumes = [colours.luminance(colours.spray(rank, 4)) for rank in range(4)]
    assert all(less > more for less, more in pairwise(volumes))


def test_net_is_palest_at_zero_and_darkens_to_both_sides():
    light = [colours.luminance(colours.ramp(colours.NET, step / 8)) for step in range(9)]
    assert max(light) == light[4]
    assert all(a < b for a, b in pairwise(light[:5]))
    assert all(a > b for a, b in pairwise(light[4:]))


def test_the_three_decisions_differ_in_grey():
    """A copier keeps lightness only; skip has its hatch besides."""
    shades = (colours.SPRAY_MOST, colours.SPRAY_LEAST, colours.SKIP)
    assert all(colours.contrast(one, other) > 1.7 for one, other in combinations(shades, 2))


@pytest.mark.parametrize("share", [-1.0, 0.0, 0.25, 0.999, 1.0, 7.0])
def test_ramp_stays_a_colour(share):
    found = colours.ramp(colours.NET, share)
    assert len(found) == 7
    assert int(found[1:], 16) >= 0
    assert colours.ramp(colours.NET, 0.0) == colours.NET[0]
    assert colours.ramp(colours.NET, 1.0) == colours.NET[-1]
