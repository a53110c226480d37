"""Invented fields for the tests of the zones room: boundary, blocks and patches by seed."""

import numpy as np
import shapely
from scipy import ndimage
from shapely import MultiPolygon, Point, Polygon, affinity, box

from zoning.inputs.grid import Grid
from zoning.zones.zoning import Ground, Limits

LIMITS = Limits(max_zones_per_block=3, min_area_ac=1.0)


def ground_of(outlines, cell_m=10.0, buffer_m=0.0):
    """Lay a grid over block outlines in metres, as the reader of inputs does."""
    blocks = np.array(outlines, dtype=object)
    field = shapely.union_all(blocks)
    grid = Grid.covering(field.bounds, 32615, cell_m)
    east, north = np.meshgrid(grid.east_m(), grid.north_m())
    block = np.full(grid.shape, -1, dtype=np.int16)
    for index, outline in enumerate(outlines):
        block[shapely.contains_xy(outline, east, north) & (block < 0)] = index
    fit = shapely.contains_xy(shapely.buffer(field, -buffer_m), east, north) & (block >= 0)
    return Ground(grid=grid, inside=block >= 0, fit=fit, block_of_cell=block, block_outlines=tuple(outlines))


def square_field(cells, cell_m=10.0):
    return ground_of([box(500_000, 4_900_000, 500_000 + cells * cell_m, 4_900_000 + cells * cell_m)], cell_m)


def smooth_patches(rng, shape, number, size_cells, least=0.15):
    """Labels of `number` patches with smooth outlines, each at least `least` of the whole."""
    while True:
        fields = [ndimage.gaussian_filter(rng.normal(size=shape), size_cells) for _ in range(number)]
        labels = np.argmax([field / field.std() for field in fields], axis=0)
        if min(np.mean(labels == label) for label in range(number)) >= least:
            return labels


def _wobbly(rng, centre, radius_m, corners=24):
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    reach = radius_m * (1 + 0.25 * np.cumsum(rng.normal(0, 0.25, corners)) * np.sin(angle / 2) ** 2)
    reach = np.clip(reach, 0.4 * radius_m, 1.6 * radius_m)
    return Polygon(
        np.column_stack([centre[0] + reach * np.cos(angle), centre[1] + reach * np.sin(angle)])
    ).buffer(0)


def random_outlines(seed):
    """Block outlines of an odd field: rotated, with holes, sometimes two parts, one to five blocks."""
    rng = np.random.default_rng(seed)
    radius = rng.uniform(120, 420)
    field = _wobbly(rng, (500_000, 4_900_000), radius)
    if rng.random() < 0.5:
        field = field.difference(Point(500_000 + radius / 5, 4_900_000).buffer(radius / 6, quad_segs=5))
    if rng.random() < 0.4:
        field = field.union(_wobbly(rng, (500_000 + 2.4 * radius, 4_900_000 + 50), radius / 2))
    cuts = np.sort(rng.uniform(-0.8, 0.8, int(rng.integers(0, 5)))) * radius
    lines = [
        affinity.rotate(
            shapely.LineString(
                [(500_000 - 9 * radius, 4_900_000 + cut), (500_000 + 9 * radius, 4_900_000 + cut)]
            ),
            rng.uniform(-6, 6) + 30 * (seed % 4),
            origin=(500_000, 4_900_000),
        )
        for cut in cuts
    ]
    noded = shapely.union_all([field.boundary, *lines])
    faces = shapely.get_parts(shapely.polygonize(list(noded.geoms) if hasattr(noded, "geoms") else [noded]))
    faces = [face for face in faces if field.contains(face.representative_point())]
    groups = rng.integers(0, max(len(cuts) + 1, 1), len(faces))
    outlines = [
        shapely.coverage_union_all([f for f, g in zip(faces, groups, strict=True) if g == group])
        for group in np.unique(groups)
    ]
    return [area if isinstance(area, Polygon | MultiPolygon) else MultiPolygon([]) for area in outlines]


def random_layers(seed, ground, *, noise=0.3):
    """Two layers with patches and noise, and holes where nothing was seen."""
    rng = np.random.default_rng(seed + 10_000)
    shape = ground.grid.shape
    labels = smooth_patches(rng, shape, 3, rng.uniform(4, 10), least=0.05)
    canopy = labels + noise * rng.normal(size=shape)
    slope = ndimage.gaussian_filter(rng.normal(size=shape), 8)
    slope = slope / slope.std() + noise * rng.normal(size=shape)
    canopy[: shape[0] // 6, : shape[1] // 3] = np.nan
    canopy[~ground.inside] = np.nan
    return {"canopy": canopy, "slope": slope}
