"""Which readers the fuzzer runs, on which files of the kit: one row a reader.

A reader takes the folder of the kit, in which a file may be changed, and what is known of the good field.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fuzz_kit import TODAY

from zoning import checks, once_read
from zoning.desk import last_plan
from zoning.farm.kept import files as kept_files
from zoning.fetch import planting as planter
from zoning.fetch.planting import written
from zoning.file_checks import check
from zoning.harvest import planned
from zoning.inputs import applied, decisions, done, grid, read, season_book
from zoning.inputs.given import FieldInputs
from zoning.inputs.ground import boundary, drawn_zones, guidance, kept_zones, no_spray
from zoning.inputs.harvest.ground import drawn_strips
from zoning.inputs.harvest.points import asked
from zoning.inputs.harvest.points import read as points_read
from zoning.inputs.images import further_layers, imagery
from zoning.inputs.planted import planting, sown
from zoning.inputs.reading import Reading
from zoning.inputs.scouting import points, rows, unplaced
from zoning.inputs.strips import design
from zoning.inputs.weather_files import hourly_files, weather
from zoning.prescription import handed
from zoning.settings.model import DeadGround, Imagery, Layer, Setback, Settings
from zoning.settings.read import load

FIELD = "plover_rise/long_eighty"
_HEIGHT = {"name": "height", "file": "layers/height.tif", "terrain": ["slope", "aspect", "wetness"]}
SHAPEFILE = ("shp", "shx", "dbf", "prj", "cpg")


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What is known of the good field, read once a process."""

    settings: Settings
    edge: boundary.Boundary
    given: FieldInputs


@dataclass(frozen=True, slots=True, eq=False)
class Reader:
    """One reader, and the files of the kit that it reads; of these one or more are changed."""

    name: str
    files: tuple[str, ...]
    run: Callable[[Path, Known], object]


def known_of(kit: Path) -> Known:
    """Read the good field."""
    field = kit / FIELD
    settings = load(field)
    edge = boundary.read(field / "boundary.geojson", "boundary.geojson")
    return Known(settings, edge, read.field(settings, TODAY))


def _boundary(name: str) -> Callable[[Path, Known], object]:
    return lambda kit, known: boundary.read(kit / FIELD / name, name)


def _planting(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        place = sown.Place(settings=known.settings, boundary=known.edge, today=TODAY)
        cells = grid.Grid.covering(known.edge.area.bounds, known.edge.epsg, 10.0)
        return planting.read(place, cells, kit / FIELD / name)

    return run


def _planter(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        tasks = () if name in ("planter.csv", "table.zip") else ("plant Made 0", "plant Made 1")
        typed = planter.Typed(tasks=tasks)
        found = planter.preview(kit / FIELD, kit / FIELD / "planted" / name, typed, today=TODAY, clock=TODAY)
        written.geojson(found)
        planter.as_object(found, again="")
        return planter.text(found, 100, again="")

    return run


def _drawn(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        zones = known.settings.zones.model_copy(update={"file": name})
        field = drawn_zones.Field(
            known.settings.model_copy(update={"zones": zones}), known.edge.epsg, known.edge.area
        )
        return drawn_zones.read(field, kit / FIELD / name)

    return run


def _scouting(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        plantings = [unplaced.Planting(date(2026, 5, 14), 1.2)]
        rows.read(kit / FIELD / name, name, known.edge, TODAY, "America/Chicago", known.given.blocks)
        points.read(kit / FIELD / name, name, joins_lines=True)
        return unplaced.read(kit / FIELD / name, plantings, TODAY)

    return run


def _points(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        wanted = asked.asked_of(known.settings, known.edge.epsg, known.edge.area)
        return points_read.read(kit / FIELD / name, name, wanted)

    return run


def _hours(kit: Path, known: Known) -> object:
    wanted = hourly_files.of_settings(known.settings, TODAY, -97.0, lambda _, name: kit / FIELD / ".." / name)
    return hourly_files.read(wanted)


def _image(kit: Path, known: Known) -> object:
    ground = imagery.Ground(grid=known.given.grid, inside=known.given.inside)
    return imagery.picture(_here(kit, known), 1, ground)


def _height(kit: Path, known: Known) -> object:
    ground = imagery.Ground(grid=known.given.grid, inside=known.given.inside)
    return further_layers.layers(_with(kit, known, _HEIGHT), 1, ground)


def _with(kit: Path, known: Known, layer: dict[str, object]) -> Settings:
    return _here(kit, known).model_copy(update={"layers": (Layer.model_validate(layer),)})


def _polygons(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        ground = imagery.Ground(grid=known.given.grid, inside=known.given.inside)
        told = {"name": "drawn", "file": name, "column": "zone"}
        return further_layers.layers(_with(kit, known, told), 1, ground)

    return run


def _as_image(kit: Path, known: Known) -> object:
    """Take a raster that a run wrote for an image and for a yield, another one for the image's mask."""
    name, mask = "out/rasters/net_return.tif", "out/rasters/zone.tif"
    told = {"file": name, "bands": {"red": 1, "nir": 1}, "index": "NDVI", "date": date(2026, 7, 10)}
    one = Imagery.model_validate({**told, "mask": mask, "mask_keep": [1, 2]})
    layer = Layer.model_validate({"name": "net", "file": name, "use": "yield", "unit": "bu/ac"})
    here = _here(kit, known).model_copy(update={"imagery": (one,), "layers": (layer,)})
    ground = imagery.Ground(grid=known.given.grid, inside=known.given.inside)
    try:
        return further_layers.layers(here, 1, ground)
    finally:
        imagery.picture(here, 1, ground)


def _here(kit: Path, known: Known) -> Settings:
    return known.settings.model_copy(update={"folder": kit / FIELD, "farm_folder": kit / FIELD / ".."})


def _reading(kit: Path, known: Known) -> Reading:
    return Reading(settings=_here(kit, known), today=TODAY)


def _design(kit: Path, known: Known) -> object:
    design.laid(kit / FIELD)
    return design.read(_reading(kit, known), known.edge, known.edge.area)


def _applied(kit: Path, known: Known) -> object:
    zones = {1: known.edge.area}
    ground = applied.Ground(epsg=known.edge.epsg, zones=zones, swath_m=27.4, is_metric=False)
    return applied.read(kit / FIELD / "applied/zones.gpkg", "zones.gpkg", ground)


def _kept_zones(kit: Path, known: Known) -> object:
    path = kit / FIELD / "zones.gpkg"
    kept_zones.zones_id(path)
    no_spray.kept(path, known.edge.epsg)
    kept_zones.outlines(path, known.edge.epsg)
    return kept_zones.read(drawn_zones.Field(_here(kit, known), known.edge.epsg, known.edge.area), path)


def _plan(kit: Path, known: Known) -> object:
    path = kit / FIELD / "out/plan.json"
    last_plan.of_bytes(path.read_bytes())
    planned.planned_of(kit / FIELD, date(2026, 7, 24), date(2026, 5, 14))
    return handed.read(path, known.settings.name)


def _kept(name: str) -> Callable[[Path, Known], object]:
    def run(kit: Path, known: Known) -> object:
        kept_files.about(kit / FIELD / name)
        return kept_files.kept(kit / FIELD / name)

    return run


def _checked(name: str) -> Callable[[Path, Known], object]:
    return lambda kit, known: check(kit / name)


def _whole(kit: Path, known: Known) -> object:
    found = checks.check(kit / FIELD, today=TODAY, clock=TODAY)
    checks.as_object(found)
    return checks.as_text(found)


def _here_all(*names: str) -> tuple[str, ...]:
    return tuple(f"{FIELD}/{name}" for name in names)


def _set(stem: str) -> tuple[str, ...]:
    return tuple(f"{FIELD}/{stem}.{end}" for end in SHAPEFILE)


def _tasks(*names: str) -> tuple[str, ...]:
    """Name the files of task data."""
    ends = [f"{name}.{end}" for name in names[1:] for end in ("XML", "BIN")]
    return _here_all(*(f"planted/TASKDATA/{one}" for one in (f"{names[0]}.XML", *ends)))


FARM = tuple(f"plover_rise/{name}" for name in ("farm.toml", "learned.toml"))
TABLES = tuple(
    f"plover_rise/{name}" for name in ("weather.csv", "hourly.csv", "hourly_forecast.csv", "done.csv")
)
OUT = "out/passes/P1"
EVERYTHING = _here_all("field.toml", "boundary.geojson", "scouting.csv", "walk.gpx", "decisions.json",
                       "setbacks.geojson", "lines.geojson", "strips/design.geojson", "layers/height.tif",
                       "imagery/2026-07-10_canopy.tif", "dead.gpkg")  # fmt: skip

READERS: tuple[Reader, ...] = (
    Reader("settings", (*FARM, *_here_all("field.toml")), lambda kit, known: load(kit / FIELD)),
    Reader("boundary: GeoJSON", _here_all("boundary.geojson"), _boundary("boundary.geojson")),
    Reader("boundary: GeoPackage", _here_all("edge.gpkg"), _boundary("edge.gpkg")),
    Reader("boundary: shapefile", _set("edge"), _boundary("edge.shp")),
    Reader("planting: GeoJSON", _here_all("planting.geojson"), _planting("planting.geojson")),
    Reader("planting: GeoPackage", _here_all("planting.gpkg"), _planting("planting.gpkg")),
    Reader("planting: shapefile", _set("planting"), _planting("planting.shp")),
    Reader("planter: CSV", _here_all("planted/planter.csv"), _planter("planter.csv")),
    Reader("planter: task data", _tasks("TASKDATA", "TLG00001", "TLG00002"), _planter("TASKDATA")),
    Reader("planter: zip of a table", _here_all("planted/table.zip"), _planter("table.zip")),
    Reader("planter: zip of task data", _here_all("planted/tasks.zip"), _planter("tasks.zip")),
    Reader("zones: GeoJSON", _here_all("drawn.geojson"), _drawn("drawn.geojson")),
    Reader("zones: GeoPackage", _here_all("drawn.gpkg"), _drawn("drawn.gpkg")),
    Reader("zones: shapefile", _set("drawn"), _drawn("drawn.shp")),
    Reader("zones: kept", _here_all("zones.gpkg"), _kept_zones),
    Reader("design", _here_all("strips/design.geojson"), _design),
    Reader("strips drawn", _here_all("strips.geojson"), lambda kit, known: drawn_strips.read(
        kit / FIELD / "strips.geojson", known.edge.epsg, known.edge.area, is_metric=False)),
    Reader("setbacks", _here_all("setbacks.geojson"), lambda kit, known: no_spray.setback(
        Setback.model_validate({"file": "setbacks.geojson", "width": "30 ft"}),
        kit / FIELD / "setbacks.geojson", known.edge.epsg)),
    Reader("dead ground", _here_all("dead.gpkg"), lambda kit, known: no_spray.dead_ground(
        DeadGround(file="dead.gpkg"), kit / FIELD / "dead.gpkg", known.edge.epsg)),
    Reader("guidance", _here_all("lines.geojson"), lambda kit, known: guidance.read(
        _reading(kit, known), known.edge.epsg, known.edge.area)),
    Reader("decisions", _here_all("decisions.json"), lambda kit, known: decisions.read(
        kit / FIELD / "decisions.json", "decisions.json")),
    Reader("scouting: CSV", _here_all("scouting.csv"), _scouting("scouting.csv")),
    Reader("scouting: GeoJSON", _here_all("walk.geojson"), _scouting("walk.geojson")),
    Reader("scouting: GPX", _here_all("walk.gpx"), _scouting("walk.gpx")),
    Reader("weather", TABLES[:1], lambda kit, known: weather.with_notes(
        kit / TABLES[0], TODAY, forecast=kit / TABLES[0])),
    Reader("hourly", TABLES[1:3], _hours),
    Reader("imagery", _here_all("imagery/2026-07-10_canopy.tif"), _image),
    Reader("layer", _here_all("layers/height.tif"), _height),
    Reader("layer: GeoJSON", _here_all("drawn.geojson"), _polygons("drawn.geojson")),
    Reader("layer: shapefile", _set("drawn"), _polygons("drawn.shp")),
    Reader("image with mask", _here_all("out/rasters/zone.tif", "out/rasters/net_return.tif"), _as_image),
    Reader("yield: CSV", _here_all("harvest/yield.csv"), _points("harvest/yield.csv")),
    Reader("yield: GeoJSON", _here_all("points.geojson"), _points("points.geojson")),
    Reader("yield: GeoPackage", _here_all("points.gpkg"), _points("points.gpkg")),
    Reader("yield: shapefile", _set("points"), _points("points.shp")),
    Reader("done", TABLES[3:], lambda kit, known: done.read(kit / TABLES[3], "America/Chicago")),
    Reader("season book", ("plover_rise/season.csv",), lambda kit, known: season_book.read(
        kit / "plover_rise/season.csv")),
    Reader("applied", _here_all("applied/zones.gpkg"), _applied),
    Reader("plan.json", _here_all("out/plan.json"), _plan),
    Reader("kept plan", _here_all("kept.npz"), _kept("kept.npz")),
    Reader("kept settings", _here_all("settings.npz"), _kept("settings.npz")),
    Reader("check: shapefile", _set(f"{OUT}/P1_0724"), _checked(f"{FIELD}/{OUT}/P1_0724.shp")),
    Reader("check: zip", _here_all(f"{OUT}/Long_Eighty_P1_0724.zip"),
           _checked(f"{FIELD}/{OUT}/Long_Eighty_P1_0724.zip")),
    Reader("check: GeoJSON", _here_all(f"{OUT}/P1_0724.geojson"), _checked(f"{FIELD}/{OUT}/P1_0724.geojson")),
    Reader("check: GeoPackage", ("beside/zones.gpkg",), _checked("beside/zones.gpkg")),
    Reader("check: GeoTIFF", ("beside/rate.tif",), _checked("beside/rate.tif")),
    Reader("check: GeoParquet", ("beside/zones.parquet",), _checked("beside/zones.parquet")),
    Reader("check: TASKDATA", ("beside/polygons/TASKDATA/TASKDATA.XML",), _checked("beside/polygons")),
    Reader("check: grid 1", ("beside/grid1/TASKDATA/TASKDATA.XML", "beside/grid1/TASKDATA/GRD00001.BIN"),
           _checked("beside/grid1")),
    Reader("check: grid 2", ("beside/grid2/TASKDATA/TASKDATA.XML", "beside/grid2/TASKDATA/GRD00001.BIN"),
           _checked("beside/grid2")),
    Reader("check: a pass", _here_all(f"{OUT}/SHA256SUMS", f"{OUT}/TASKDATA/TASKDATA.XML",
                                      f"{OUT}/README.txt"), _checked(f"{FIELD}/{OUT}")),
    Reader("whole field", (*FARM, *TABLES, "plover_rise/season.csv", *EVERYTHING), _whole),
)  # fmt: skip


def ran(reader: Reader, kit: Path, known: Known) -> object:
    """Run a reader as a process that has just begun would."""
    once_read.forget()
    return reader.run(kit, known)
