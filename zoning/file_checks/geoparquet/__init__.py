"""GeoParquet files: all rules about them, and those of all layers of polygons where they have any."""

from collections.abc import Iterator

from zoning.file_checks.finding import Finding, apply
from zoning.file_checks.formats import Field, Names, ending
from zoning.file_checks.geoparquet.reader import read
from zoning.file_checks.geoparquet.rules import RULES as RULES
from zoning.file_checks.of_polygons.geometry import RINGS_OF_LAYERS
from zoning.file_checks.of_polygons.layer import judge
from zoning.file_checks.of_polygons.polygons import Polygons, Row
from zoning.file_checks.place import Place

groups = ending(".parquet")


def check(place: Place, names: Names, _field: Field) -> Iterator[Finding]:
    """Judge one file.

    Raises
    ------
    UnreadableError
        When it is no Parquet file, or damaged.
    """
    where = place.told(names[0])
    one = read(place.read(names[0]))
    yield from apply(RULES, one, where)
    rows = tuple(
        Row(shape.row, shape.geometry.rings)
        for shape in one.shapes
        if shape.geometry is not None and shape.geometry.rings
    )
    if rows:
        yield from judge(Polygons(rows), where, (), rings=RINGS_OF_LAYERS, ground=())  # fields do not touch
