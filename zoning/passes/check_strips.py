"""Where check strips lie: pairs of swaths side by side, one left untreated and one treated.

What the plan does with the zones that a strip crosses, and what it costs, is not known here.
"""

from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from zoning.chance import generator
from zoning.evidence import number
from zoning.inputs.given import Strip, StripTreatment
from zoning.passes.strip_places import PairPlaces, least_m, pair_places, runs_of_places
from zoning.passes.strip_places import StripGround as StripGround
from zoning.returns.pairs import LEAST_PAIRS, pair_sd_bu_ac, power
from zoning.units import ft_from_m
from zoning.words import Said
from zoning.zones.swath_cells import turned_shapes

_SLACK = 1e-9  # method: rounding of floats, as a share of a swath
_BEYOND_M = 1.0  # beyond the crop's end, so that no crumb of it is left where a strip is cut out


def lay(ground: StripGround, pairs: int, seed: int) -> tuple[Strip, ...]:
    """Lay pairs of check strips across a field.

    Parameters
    ----------
    ground : StripGround
    pairs : int
        How many pairs are asked for; fewer are laid where there is no room, see `notes_of`.
    seed : int
        The same seed and ground give the same strips.

    Returns
    -------
    tuple of Strip
        Pair by pair. Each strip is a rectangle as wide as the boom that reaches from end to end of the crop
        on its pair, and a metre beyond. Its neighbours on both sides hold crop: no strip lies at the edge of
        the field. Strips of different pairs share no ground, and have a swath between them where there is
        room.

    Notes
    -----
    The swaths on which a pair can lie are divided into as many runs, which are as equal as can be; one pair
    lies at random in each, so that pairs are spread over the field: randomised complete blocks. Which strip
    of a pair is left untreated is random.

    Examples
    --------
    >>> from zoning.inputs.given import Heading
    >>> ground = StripGround(field="home", outlines=(shapely.box(0, 0, 600, 400),), blocks=("A",),
    ...     heading=Heading(90.0, "given"), boom_m=20.0)
    >>> strips = lay(ground, pairs=3, seed=1)
    >>> [(one.pair, round(one.outline.area)) for one in strips]
    [(1, 12040), (1, 12040), (2, 12040), (2, 12040), (3, 12040), (3, 12040)]
    >>> sorted(one.treatment for one in strips[:2])
    ['treated', 'untreated']
    """
    if pairs < 1:
        return ()
    swaths = pair_places(ground)
    places = _one_in_each(runs_of_places(swaths, pairs), generator(seed, "check strips", ground.field))
    return tuple(
        strip
        for pair, place in enumerate(places, start=1)
        for strip in _pair(ground, swaths, (pair, place), seed)
    )


def notes_of(
    ground: StripGround, strips: Sequence[Strip], pairs: int, header_m: float | None, other_pass: str = ""
) -> tuple[Said, ...]:
    """Say what is to be known of the strips that were laid.

    Parameters
    ----------
    ground : StripGround
    strips : sequence of Strip
        From `lay`.
    pairs : int
        How many pairs were asked for.
    header_m : float or None
        Width of the combine's header. [m]
    other_pass : str
        What goes over the whole field in the same pass, empty where nothing does.
    """
    laid = len({one.pair for one in strips})
    notes: list[Said] = []
    if laid < pairs:
        notes.append(Said("passes.strips_fewer", laid=laid, asked=pairs, why=_why_fewer(ground, pairs).text))
    return (*notes, *of_laid(laid, ground.boom_m, header_m, other_pass))


def of_laid(laid: int, width_m: float, header_m: float | None, other_pass: str = "") -> tuple[Said, ...]:
    """Say what a number of pairs of strips of a width cannot do; also of strips that were read from a file.

    Examples
    --------
    >>> [one.code for one in of_laid(1, 27.0, 35.0)]
    ['passes.strips_one_pair', 'passes.strips_header']
    """
    notes: list[Said] = []
    if 0 < laid < LEAST_PAIRS:
        notes.append(Said("passes.strips_one_pair"))
    if laid and header_m is not None and header_m > width_m * (1 + _SLACK):
        sizes = {"header_ft": ft_from_m(header_m), "strip_ft": ft_from_m(width_m)}
        notes.append(Said("passes.strips_header", header_m=header_m, strip_m=width_m, **sizes))
    if laid and other_pass.strip():
        notes.append(Said("passes.strips_other_pass", other=other_pass.strip()))
    return tuple(notes)


def shows(pairs: int) -> tuple[float, float]:
    """Give a response, and the chance that so many pairs of strips show it where it is there.

    Parameters
    ----------
    pairs : int
        One pair has no spread to be judged by: it shows nothing.

    Returns
    -------
    response : float
        [bu/ac]
    chance : float
        One-sided, at one in ten. [0-1]

    Examples
    --------
    >>> response_bu_ac, chance_frac = shows(4)
    >>> response_bu_ac, round(chance_frac, 2), shows(1)[1]
    (3.0, 0.57, 0.0)
    """
    response_bu_ac = number("passes.strips_response_bu_ac")
    if pairs < LEAST_PAIRS:
        return response_bu_ac, 0.0
    return response_bu_ac, power(pairs, response_bu_ac, pair_sd_bu_ac())


def _one_in_each(runs: Sequence[Sequence[int]], chance: np.random.Generator) -> list[int]:
    """Take one place of each run; of all ways in which the fewest pairs touch, each is as likely."""
    # for each place: how many pairs touch from there on at least, and in how many ways so few do
    ways: list[dict[int, tuple[int, int]]] = [{}]
    for run in reversed(runs):
        ways.insert(0, {place: _onward(place, ways[0]) for place in run})
    taken: list[int] = []
    for here in ways[:-1]:
        touching = {place: least + _touch(taken, place) for place, (least, _) in here.items()}
        fewest = min(touching.values())
        open_ = [place for place in here if touching[place] == fewest]
        total = sum(here[place][1] for place in open_)
        taken.append(int(chance.choice(open_, p=[here[place][1] / total for place in open_])))
    return taken


def _onward(place: int, later: Mapping[int, tuple[int, int]]) -> tuple[int, int]:
    if not later:
        return 0, 1
    onward = [(least + _touch([place], other), count) for other, (least, count) in later.items()]
    fewest = min(least for least, _ in onward)
    return fewest, sum(count for least, count in onward if least == fewest)


def _touch(taken: Sequence[int], place: int) -> int:
    return int(bool(taken) and place - taken[-1] == 2)


def _pair(ground: StripGround, swaths: PairPlaces, at: tuple[int, int], seed: int) -> tuple[Strip, Strip]:
    """Draw both strips of a pair (its number and its place), from left to right of the heading."""
    pair, place = at
    sides_m = swaths.start_m + (place + np.arange(3)) * ground.boom_m  # eq. two swaths have three sides
    _, south_m, _, north_m = shapely.total_bounds(swaths.outlines)
    both = shapely.box(sides_m[0], south_m, sides_m[-1], north_m)
    _, south_m, _, north_m = shapely.total_bounds(shapely.intersection(swaths.outlines, both))
    south_m, north_m = south_m - _BEYOND_M, north_m + _BEYOND_M
    boxes = shapely.box(sides_m[:-1], south_m, sides_m[1:], north_m)
    first, second = turned_shapes(boxes, -ground.heading.deg)
    treatments: tuple[StripTreatment, StripTreatment] = ("treated", "untreated")
    turn = int(generator(seed, "check strips", ground.field, pair).integers(2))
    return (
        Strip(pair=pair, treatment=treatments[turn], outline=first),
        Strip(pair=pair, treatment=treatments[1 - turn], outline=second),
    )


def _why_fewer(ground: StripGround, pairs: int) -> Said:
    """Say what stands against more pairs: length, room inside the field's edges, or strips that differ."""
    swaths = pair_places(ground)
    least = {"least_m": least_m(), "least_ft": ft_from_m(least_m())}
    if not swaths.long.any():
        return Said("passes.strips_short", **least)
    places = np.flatnonzero(swaths.long & swaths.inside)
    room = len(np.union1d(places, places + 1))
    if room < 2 * pairs:
        width = {"boom_m": ground.boom_m, "boom_ft": ft_from_m(ground.boom_m)}
        return Said("passes.strips_narrow", swaths=room, **least, **width)
    return Said("passes.strips_unlike")
