"""The ground of a field and when it was planted: all that recording a pass needs of its files."""

from dataclasses import dataclass
from datetime import date

from zoning.inputs import area, files
from zoning.inputs.given import Area, Block
from zoning.inputs.grid import Grid
from zoning.inputs.ground import boundary
from zoning.inputs.planted import planting, sown
from zoning.settings.model import Settings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldGround:
    """The outline of a field in the plane `epsg`, and its planting blocks."""

    whole: Area
    epsg: int
    area_ac: float
    blocks: tuple[Block, ...]

    @property
    def planted(self) -> date:
        """The last day of planting."""
        return max(block.planted for block in self.blocks)


def ground_of(settings: Settings, today: date) -> FieldGround:
    """Read boundary and planting of a field.

    Raises
    ------
    InputError
        What is wrong with the one or the other.
    """
    edge_file, file = settings.boundary.file, settings.planting.file
    edge = boundary.read(files.find(settings, "boundary.file", edge_file), edge_file)
    grid = Grid.covering(edge.area.bounds, edge.epsg, settings.zones.cell_m)
    place = sown.Place(settings=settings, boundary=edge, today=today)
    planted = planting.read(place, grid, files.find(settings, "planting.file", file) if file else None)
    return FieldGround(
        whole=planted.whole,
        epsg=edge.epsg,
        area_ac=area.geodesic_ac(area.to_lonlat(planted.whole, edge.epsg)),
        blocks=planted.blocks,
    )
