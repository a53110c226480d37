"""Pictures of what somebody drew or recorded: outlines, blocks, zones, lines, strips and points."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

import shapely

from zoning import colours
from zoning.inputs import files, vector
from zoning.inputs.given import Block
from zoning.inputs.ground import drawn_zones, guidance, no_spray
from zoning.inputs.planted import planting, sown
from zoning.inputs.reading import Reading
from zoning.inputs.strips import design
from zoning.preview.known import Known
from zoning.preview.picture import Dots, Key, Picture, Shape
from zoning.show.furniture import CROSSED, HATCH
from zoning.words import amounts

_MOST_KEYS = 12  # lines of a legend
_MOST_DOTS = 4_000  # of a planter's records; more of them are thinned out evenly


def pictures(known: Known) -> Iterator[Picture]:
    """Draw the boundary and everything that is drawn or driven on it."""
    settings = known.settings
    yield _boundary(known)
    if settings.planting.file:
        yield from known.attempt(partial(_planting, known, settings.planting.file))
    for place, one in enumerate(settings.setbacks, 1):
        yield from known.attempt(partial(_setback, known, f"setback[{place}].file", one.file, place))
    for place, dead in enumerate(settings.dead_ground, 1):
        yield from known.attempt(partial(_dead, known, f"dead_ground[{place}].file", dead.file, place))
    if settings.zones.file:
        yield from known.attempt(partial(_zones, known, settings.zones.file))
    if settings.guidance.file:
        yield from known.attempt(partial(_guidance, known, settings.guidance.file))
    if design.is_laid(settings.folder):
        yield from known.attempt(partial(_strips, known))


def _boundary(known: Known) -> Picture:
    whole = known.edge.area
    parts, holes = (
        shapely.get_parts(whole),
        int(shapely.get_num_interior_rings(shapely.get_parts(whole)).sum()),
    )
    words = [known.size(whole)]
    words += [f"{len(parts)} parts"] if len(parts) > 1 else []
    words += [f"{holes} hole{'s' if holes > 1 else ''}"] if holes else []
    where = f"its middle is at {known.edge.latitude_deg:.4f}, {known.edge.longitude_deg:.4f}"
    about = known.blank("01_boundary", known.settings.boundary.file, "", ", ".join(words), where)
    shape = Shape(outline=whole, fill=colours.SHADE)
    return replace(about, shapes=(shape,), keys=(Key(text="the field", fill=colours.SHADE),))


# -- planting ------------------------------------------------------------------------------------------------


def _planting(known: Known, file: str) -> Sequence[Picture]:
    path = files.find(known.settings, "planting.file", file)
    found = vector.read(path, file, layer="planting")
    about = known.blank("02_planting", file, "", f"planting, {_counted(found)}")
    about, is_far = known.placed(about, _whole(found))
    if is_far:
        return [about]
    place = sown.Place(settings=known.settings, boundary=known.edge, today=known.today)
    shapes, dots = _as_recorded(found, known)
    blank = replace(about, shapes=shapes, dots=dots)
    made = known.attempt(lambda: [_blocks(known, blank, planting.of_vector(place, known.grid, found).blocks)])
    return made or [blank]


def _blocks(known: Known, about: Picture, blocks: Sequence[Block]) -> Picture:
    """Colour blocks by their day, light the earliest."""
    days = sorted({one.planted for one in blocks})
    fills = {day: colours.ramp(colours.DATE, at / max(1, len(days) - 1) * 0.7) for at, day in enumerate(days)}
    shapes = [Shape(outline=one.outline, fill=fills[one.planted], word=one.name) for one in blocks]
    keys = [
        Key(
            text=f"{one.name}  {one.planted:%b} {one.planted.day}, {known.about(one.outline)}",
            fill=fills[one.planted],
        )
        for one in blocks
    ]
    seen = {one.variety for one in blocks} - {""}
    line = f"{len(blocks)} block{'s' if len(blocks) > 1 else ''}" + (
        f" of {', '.join(sorted(seen))}" if seen else ""
    )
    return replace(
        about,
        lines=(*about.lines, line)[:3],
        shapes=(*shapes, *about.shapes),
        keys=_few(keys),
    )


def _as_recorded(found: vector.Vector, known: Known) -> tuple[tuple[Shape, ...], tuple[Dots, ...]]:
    """Draw shapes as they stand in the file: polygons and lines by their edges, points as small dots."""
    shapes = found.projected(known.edge.epsg)
    kinds = shapely.get_dimensions(shapes)
    at_m = shapely.get_coordinates(shapes[kinds == 0])
    at_m = at_m[:: 1 + len(at_m) // _MOST_DOTS]
    dots = Dots(at_m=at_m, fills=[colours.SECONDARY] * len(at_m), size=2.2)
    lines = tuple(Shape(outline=one, width=0.7, edge=colours.SECONDARY) for one in shapes[kinds > 0])
    return lines, (dots,) if len(at_m) else ()


# -- ground that is not sprayed, zones, lines, strips --------------------------------------------------------


def _setback(known: Known, key: str, file: str, place: int) -> Sequence[Picture]:
    path = files.find(known.settings, key, file)
    found = vector.read(path, file, layer="setbacks")
    wanted = known.settings.setbacks[place - 1]
    keep = f", {amounts.length(wanted.width_m, is_metric=known.is_metric)} kept" if wanted.width_m else ""
    about, is_far = known.placed(known.blank("06_setback", file, path.stem, f"setback{keep}"), _whole(found))
    if is_far:
        return [about]
    drawn, dots = _as_recorded(found, known)
    return [_not_sprayed(known, about, no_spray.setback(wanted, path, known.edge.epsg), (drawn, dots))]


def _dead(known: Known, key: str, file: str, place: int) -> Sequence[Picture]:
    path = files.find(known.settings, key, file)
    found = vector.read(path, file, layer="dead_ground")
    about, is_far = known.placed(known.blank("07_dead", file, path.stem, "dead ground"), _whole(found))
    if is_far:
        return [about]
    wanted = known.settings.dead_ground[place - 1]
    return [_not_sprayed(known, about, no_spray.dead_ground(wanted, path, known.edge.epsg), ((), ()))]


def _not_sprayed(
    known: Known, about: Picture, ground: no_spray.Drawn, drawn: tuple[tuple[Shape, ...], tuple[Dots, ...]]
) -> Picture:
    crossed = Shape(outline=ground.outline, fill=colours.NO_SPRAY, hatch=CROSSED)
    inside = shapely.intersection(ground.outline, known.edge.area)
    line = f"{known.size(_polygons(inside))} of the field"
    key = Key(text="gets no pass", fill=colours.NO_SPRAY, hatch=CROSSED)
    shapes = (crossed, *drawn[0])
    return replace(about, lines=(*about.lines, line), shapes=shapes, dots=drawn[1], keys=(key,))


def _zones(known: Known, file: str) -> Sequence[Picture]:
    path = files.find(known.settings, "zones.file", file)
    found = vector.read(path, file, layer="zones")
    about, is_far = known.placed(
        known.blank("08_zones", file, "", f"drawn zones, {_counted(found)}"), _whole(found)
    )
    if is_far:
        return [about]
    field = drawn_zones.Field(known.settings, known.edge.epsg, known.edge.area)
    lines = _as_recorded(found, known)[0]

    def coloured() -> Sequence[Picture]:
        zones = drawn_zones.read(field, path).zones
        fills = [colours.zone(number) for number in range(1, len(zones) + 1)]
        shapes = [
            Shape(outline=one.outline, fill=fill, word=one.name[:12])
            for one, fill in zip(zones, fills, strict=True)
        ]
        keys = [
            Key(text=f"{one.name}, {known.about(one.outline)}", fill=fill)
            for one, fill in zip(zones, fills, strict=True)
        ]
        return [replace(about, shapes=(*shapes, *lines), keys=_few(keys))]

    return known.attempt(coloured) or [replace(about, shapes=lines)]


def _guidance(known: Known, file: str) -> Sequence[Picture]:
    path = files.find(known.settings, "guidance.file", file)
    found = vector.read(path, file, layer="guidance")
    about = known.blank("09_guidance", file, "", f"guidance, {_counted(found)}")
    about, is_far = known.placed(about, _whole(found))
    if is_far:
        return [about]
    shapes = [Shape(outline=one, edge=colours.ACCENT, width=1.8) for one in found.projected(known.edge.epsg)]
    reading = Reading(settings=known.settings, today=known.today)
    driven = reading.attempt(lambda: guidance.read(reading, known.edge.epsg, known.edge.area))
    line = f"driven at {driven.deg:.1f} degrees from north" if driven else "no direction can be told"
    key = Key(text="guidance line", form="-", edge=colours.ACCENT)
    return [replace(about, lines=(*about.lines, line)[:3], shapes=tuple(shapes), keys=(key,))]


def _strips(known: Known) -> Sequence[Picture]:
    path = design.path_of(known.settings.folder)
    if not path.is_file():  # a folder, or a device that never ends: `check` says which
        return []
    found = vector.read(path, design.FILE, layer="strips")
    about = known.blank("10_check_strips", design.FILE, "", f"check strips, {_counted(found)}")
    about, is_far = known.placed(about, _whole(found))
    if is_far:
        return [about]
    looks = {"treated": (colours.SPRAY_LEAST, ""), "untreated": (colours.SKIP, HATCH)}
    shapes, kinds = [], set()
    for one, outline in zip(found.features, found.projected(known.edge.epsg), strict=True):
        kind = str(one.columns.get("treatment"))
        fill, hatch = looks.get(kind, (colours.WHITE, ""))
        kinds.add(kind)
        shapes.append(
            Shape(
                outline=outline,
                fill=fill,
                hatch=hatch,
                word=str(one.columns.get("pair", "")) if kind == "treated" else "",
            )
        )
    keys = [Key(text=kind, fill=fill, hatch=hatch) for kind, (fill, hatch) in looks.items() if kind in kinds]
    return [
        replace(about, shapes=tuple(shapes), keys=(*keys, Key(text="numbers: pairs", fill=colours.WHITE)))
    ]


# -- small things --------------------------------------------------------------------------------------------


def _whole(found: vector.Vector) -> shapely.GeometryCollection:
    return shapely.GeometryCollection(list(found.lonlat))


def _polygons(found: shapely.Geometry) -> shapely.MultiPolygon:
    parts = shapely.get_parts(shapely.get_parts(found))
    return shapely.MultiPolygon([one for one in parts if isinstance(one, shapely.Polygon)])


def _counted(found: vector.Vector) -> str:
    """Count what a file holds, by its kind."""
    kinds = [one.shape.geom_type.removeprefix("Multi") for one in found.features]
    words = {"Polygon": "polygon", "LineString": "line", "Point": "point"}
    told = []
    for kind in dict.fromkeys(kinds):
        count, word = kinds.count(kind), words.get(kind, "shape")
        told.append(f"{count:,} {word}{'s' if count > 1 else ''}")
    return " and ".join(told)


def _few(keys: Sequence[Key]) -> tuple[Key, ...]:
    """Keep as many lines of a legend as there is room for, and count the rest."""
    if len(keys) <= _MOST_KEYS:
        return tuple(keys)
    left = len(keys) - _MOST_KEYS + 1
    return (*keys[: _MOST_KEYS - 1], Key(text=f"and {left} more", fill=colours.WHITE, edge=colours.WHITE))
