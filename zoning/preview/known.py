"""What is known of a field before its other inputs are drawn: its outline, its grid, and what to try."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from zoning import units
from zoning.errors import InputError
from zoning.inputs import area
from zoning.inputs.given import Area
from zoning.inputs.grid import Grid
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.images import imagery
from zoning.preview.lies import Plane, around, elsewhere
from zoning.preview.picture import Bounds, Picture
from zoning.settings.model import Settings
from zoning.words import amounts

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Known:
    """A field whose boundary could be read; `faults` gathers what could not."""

    settings: Settings
    today: date
    edge: Boundary
    plane: Plane
    faults: list[InputError] = field(default_factory=list)

    @property
    def is_metric(self) -> bool:
        """Whether acres and feet are not wanted."""
        return self.settings.units == "metric"

    @property
    def bounds_m(self) -> Bounds:
        """The field and some of its surroundings."""
        return around(self.edge.area.bounds)

    @property
    def grid(self) -> Grid:
        """The grid that a run uses."""
        return Grid.covering(self.edge.area.bounds, self.edge.epsg, self.settings.zones.cell_m)

    def ground(self, grid: Grid) -> imagery.Ground:
        """Tell the cells of a grid whose middle lies in the field."""
        east, north = np.meshgrid(grid.east_m(), grid.north_m())
        return imagery.Ground(grid=grid, inside=shapely.contains_xy(self.edge.area, east, north))

    def size(self, outline: Area) -> str:
        """Write the area of a shape of the grid's plane, as it is reckoned everywhere."""
        return amounts.area(self._ac(outline), is_metric=self.is_metric)

    def about(self, outline: Area) -> str:
        """Write the same with one digit, for a legend."""
        area_ac = self._ac(outline)
        return f"{units.ha_from_ac(area_ac):.1f} ha" if self.is_metric else f"{area_ac:.1f} ac"

    def _ac(self, outline: Area) -> float:
        return area.geodesic_ac(area.to_lonlat(outline, self.edge.epsg))

    def attempt(self, make: Callable[[], Sequence[Made]]) -> list[Made]:
        """Make pictures of one input, or none where it cannot be read: `check` says why."""
        try:
            return list(make())
        except InputError as fault:
            self.faults.extend(fault.faults)
            return []

    def blank(self, kind: str, file: str, name: str, *lines: str) -> Picture:
        """Begin a picture with nothing but the field on it."""
        return Picture(
            kind=kind,
            name=name,
            title=file,
            lines=lines,
            field=self.edge.area,
            bounds_m=self.bounds_m,
        )

    def placed(self, about: Picture, lonlat: BaseGeometry) -> tuple[Picture, bool]:
        """Say where something lies that does not touch the field; whether it is too far to be seen beside it.

        What is too far is drawn as an outline, with the field's.
        """
        beside = self.plane.beside(lonlat)
        if beside is None:
            return about, False
        words = f"it {beside.words(is_metric=self.is_metric)}"
        told = replace(about, lines=(*about.lines[:1], words))
        west = self.bounds_m[0]
        is_seen = beside.far_m < self.edge.area.bounds[0] - west
        return (told, False) if is_seen else (elsewhere(self.plane, lonlat, told), True)
