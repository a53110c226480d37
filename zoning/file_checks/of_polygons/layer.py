"""One layer of polygons held against all rules about polygons and rates."""

from collections.abc import Iterable, Iterator

from zoning.file_checks.finding import Finding, Rule, apply
from zoning.file_checks.of_polygons.geometry import COORDINATES, RINGS
from zoning.file_checks.of_polygons.ground import GROUND
from zoning.file_checks.of_polygons.polygons import Polygons

Rules = Iterable[Rule[Polygons]]


def judge(
    layer: Polygons, where: str, rates: Rules = (), *, rings: Rules = RINGS, ground: Rules = GROUND
) -> Iterator[Finding]:
    """Judge coordinates, rings, ground and rates; where coordinates are no degrees, only rates are.

    Parameters
    ----------
    layer : Polygons
        What was parsed.
    where : str
        How people name the file.
    rates : iterable of Rule
        `rates.RATES`, or `rates.OF_A_PASS`; none where they stand in a file of their own.
    rings, ground : iterable of Rule
        Other tables, where a format wants other severities.
    """
    in_degrees = list(apply(COORDINATES, layer, where))
    yield from in_degrees
    if not in_degrees:
        yield from apply(rings, layer, where)
        yield from apply(ground, layer, where)
    yield from apply(rates, layer, where)
