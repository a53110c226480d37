"""Rules about grids: the file of cells, its size and codes, and whether the cells lie on the field."""

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely

from zoning.evidence import number, numbers
from zoning.file_checks.cells import off_frac
from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.taskdata.grid import BY_VALUE, Grid, sprayed_beside
from zoning.file_checks.taskdata.parts import RAW_PER_L_HA, SETPOINT, TaskData, dictionary_entry
from zoning.file_checks.taskdata.rules import slip

# A raw value that breaks a rule of rates breaks this one in a cell.
_OF_CELLS = {
    "iso_rate_times_100": "iso_cell_times_100",
    "iso_rate_not_scaled": "iso_cell_not_scaled",
    "iso_rate_unlikely": "iso_cell_unlikely",
}

Grids = tuple[TaskData, tuple[Grid, ...]]


def grids(data: TaskData) -> Grids:
    """Give the grids of all tasks, with the folder that they stand in."""
    return data, tuple(Grid(data, task, node) for task in data.tasks for node in task.grids)


def _about(grid: Grid) -> dict[str, object]:
    return {"line": grid.node.line, "file": grid.node.text("G")[:20]}


def _several(folder: Grids) -> Iterator[Seen]:
    for task in folder[0].tasks:
        if len(task.grids) > 1:
            yield {"line": task.node.line, "task": task.told, "count": len(task.grids)}


def _no_file(folder: Grids) -> Iterator[Seen]:
    return (_about(grid) for grid in folder[1] if grid.content is None)


def _file_name(folder: Grids) -> Iterator[Seen]:
    data, all_of_them = folder
    for grid in all_of_them:
        wanted, found = f"{grid.node.text('G')[:8]}.BIN", data.file_of(grid.node)
        if found is not None and found != wanted:
            yield {**_about(grid), "found": found, "wanted": wanted}


def _unused_file(folder: Grids) -> Iterator[Seen]:
    data, all_of_them = folder
    used = {data.file_of(grid.node) for grid in all_of_them}
    for name in data.siblings:
        if name.upper().startswith("GRD") and name not in used:
            yield {"file": name}


def _zone_of_values(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        zone = grid.zone_of_values
        entries = [] if zone is None else [dictionary_entry(rate) for rate in zone.rates]
        if grid.node.whole("I") == BY_VALUE and SETPOINT not in entries:
            yield _about(grid)


def _size(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        wanted = grid.expected_bytes
        if grid.content is not None and wanted not in (None, len(grid.content)) and grid.shape is not None:
            rows, columns = grid.shape
            about = {**_about(grid), "rows": rows, "columns": columns, "each": grid.bytes_of_a_cell}
            yield {**about, "size": len(grid.content), "wanted": wanted}


def _length(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        told = grid.node.whole("H")
        if told is not None and grid.content is not None and told != len(grid.content):
            yield {**_about(grid), "told": told, "size": len(grid.content)}


def _code(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        if grid.codes is not None:
            codes, counts = np.unique(grid.codes, return_counts=True)
            for code, count in zip(codes.tolist(), counts.tolist(), strict=True):
                if code not in grid.task.by_code:
                    yield {**_about(grid), "zone": code, "count": count}


def _negative(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        count = 0 if grid.values is None else int((grid.values < 0).sum())
        if count:
            yield {**_about(grid), "count": count}


def _slipped(rule: str, folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        if grid.values is None:
            continue
        values, counts = np.unique(grid.values, return_counts=True)
        for value, count in zip(values.tolist(), counts.tolist(), strict=True):
            if _OF_CELLS.get(slip(value) or "") == rule:
                yield {**_about(grid), "value": value, "l_ha": value / RAW_PER_L_HA, "count": count}


def _cell_size(folder: Grids) -> Iterator[Seen]:
    low, high = numbers("file_checks.cell_m")
    for grid in folder[1]:
        if grid.cell_m is not None and not all(low <= side_m <= high for side_m in grid.cell_m):
            yield {**_about(grid), "east_m": grid.cell_m[0], "north_m": grid.cell_m[1]}


def _not_square(folder: Grids) -> Iterator[Seen]:
    most = number("file_checks.cell_sides_ratio")
    for grid in folder[1]:
        if grid.cell_m is not None and max(grid.cell_m) > most * min(grid.cell_m):
            yield {**_about(grid), "east_m": grid.cell_m[0], "north_m": grid.cell_m[1]}


def _off_field(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        field, extent = grid.task.outline, grid.extent
        if field is not None and extent is not None and not shapely.box(*extent).intersects(field):
            yield {**_about(grid), "north": extent[1], "east": extent[0]}


def _short(folder: Grids) -> Iterator[Seen]:
    off_frac = number("file_checks.area_off_frac")
    for grid in folder[1]:
        field = grid.task.outline
        if field is None or grid.extent is None:
            continue
        bare = field.difference(shapely.box(*grid.extent)).area / field.area
        if off_frac < bare < 1:
            yield {**_about(grid), "share": bare}


def _beside(grid: Grid) -> tuple[int, int, int] | None:
    """Count sprayed cells, where they can be compared with a field that the grid lies on."""
    if grid.rate_l_ha is None or grid.is_beside is None or grid.is_beside.all():
        return None
    return sprayed_beside(grid.rate_l_ha, grid.is_beside)


def _is_turned(count: tuple[int, int, int]) -> bool:
    """Say whether the rows fit the field clearly better when they are turned."""
    sprayed, beside, beside_turned = count
    return beside - beside_turned > number("file_checks.beside_frac") * sprayed and beside > 2 * beside_turned


def _against_map(grid: Grid) -> tuple[float, float] | None:
    """Share of the cells that differ from the map beside; and if the rows were turned."""
    rate, expected = grid.rate_l_ha, grid.on_map
    if rate is None or expected is None:
        return None
    return off_frac(rate, expected), off_frac(np.flipud(rate), expected)


def _is_turned_on_map(share: tuple[float, float] | None) -> bool:
    off_frac = number("file_checks.grid_off_frac")
    return share is not None and share[0] > off_frac and share[1] < share[0] / 2


def _upside_down(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        count = _beside(grid)
        if count is not None and _is_turned(count):
            yield {**_about(grid), "beside": count[1], "turned": count[2]}


def _upside_down_on_map(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        share = _against_map(grid)
        if share is not None and _is_turned_on_map(share):
            yield {**_about(grid), "share": share[0], "turned": share[1]}


def _other_map(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        share = _against_map(grid)
        if share is None or _is_turned_on_map(share):
            continue
        if share[0] > number("file_checks.grid_off_frac"):
            yield {**_about(grid), "share": share[0]}


def _sprayed_beside(folder: Grids) -> Iterator[Seen]:
    for grid in folder[1]:
        count = _beside(grid)
        if count is None or _is_turned(count):
            continue
        if count[1] > number("file_checks.beside_frac") * count[0]:
            yield {**_about(grid), "beside": count[1], "sprayed": count[0]}


RULES: tuple[Rule[Grids], ...] = (
    Rule("iso_several_grids", "refused", _several),
    Rule("iso_grid_no_file", "refused", _no_file),
    Rule("iso_grid_file_name", "refused", _file_name),
    Rule("iso_grid_unused", "doubtful", _unused_file),
    Rule("iso_grid_no_zone", "refused", _zone_of_values),
    Rule("iso_grid_size", "refused", _size),
    Rule("iso_grid_length", "refused", _length),
    Rule("iso_grid_code", "refused", _code),
    Rule("iso_cell_negative", "refused", _negative),
    Rule("iso_cell_times_100", "refused", partial(_slipped, "iso_cell_times_100")),
    Rule("iso_cell_not_scaled", "refused", partial(_slipped, "iso_cell_not_scaled")),
    Rule("iso_cell_unlikely", "doubtful", partial(_slipped, "iso_cell_unlikely")),
    Rule("iso_cell_size", "doubtful", _cell_size),
    Rule("iso_cell_not_square", "doubtful", _not_square),
    Rule("iso_grid_off_field", "refused", _off_field),
    Rule("iso_grid_short", "doubtful", _short),
    Rule("iso_upside_down", "refused", _upside_down),
    Rule("iso_upside_down_on_map", "refused", _upside_down_on_map),
    Rule("iso_other_map", "refused", _other_map),
    Rule("iso_sprayed_beside", "doubtful", _sprayed_beside),
)
