"""A field of 400 m x 300 m with check strips, zones and what was sprayed of them, as files in a folder."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import geopandas
import shapely
from made_folders import MONEY, PRODUCT, RESPONSE, SPRAYER
from made_inputs import EPSG, FIELD, NORTH, SOUTH, WEST, Folder
from shapely import Polygon, box

from zoning.inputs import read
from zoning.inputs.given import FieldInputs, Strip, StripDesign
from zoning.inputs.harvest.given import TrialGround
from zoning.inputs.harvest.ground.trial_ground import ground_of
from zoning.inputs.strips import design
from zoning.settings.model import Settings

BOOM_M = 27.432
AFTER = date(2026, 10, 10)
ABOUT = {"field": "Field", "laid_on": "2026-07-08"}
ZONES = {1: box(WEST, SOUTH, WEST + 400, SOUTH + 180), 2: box(WEST, SOUTH + 180, WEST + 400, NORTH)}
HEADER = 'header = "35 ft"\n'
ROW = "field,pass,zones,end,sprayer,product,source"
PRODUCT_NAME = "Invented Fungicide"
RUN_ID = "0123456789abcdef"


def strip(pair: int, treatment: str, west_m: float) -> Strip:
    """A strip that begins so far east of the field's western edge."""
    outline = box(WEST + west_m, SOUTH - 1, WEST + west_m + BOOM_M, NORTH + 1)
    return Strip(pair=pair, treatment=treatment, outline=outline)


def strips_laid() -> tuple[Strip, ...]:
    """Two pairs, 100 m and 220 m from the western edge; the untreated strip first."""
    return tuple(
        strip(pair, treatment, west + place * BOOM_M)
        for pair, west in ((1, 100.0), (2, 220.0))
        for place, treatment in enumerate(("untreated", "treated"))
    )


def ground_of_strips(treatment: str, strips: Sequence[Strip] | None = None) -> Polygon:
    """All strips of a treatment together."""
    return shapely.union_all([one.outline for one in strips or strips_laid() if one.treatment == treatment])


def trial_folder(folder: Folder, harvest: str = HEADER) -> Folder:
    """A field that may be sprayed and harvested, driven north."""
    text = f"season = 2026\nname = 'Test'\n{MONEY}{PRODUCT}{SPRAYER}{RESPONSE}"
    (folder.path / "farm.toml").write_text(text + (f"[harvest]\n{harvest}" if harvest else ""))
    folder.add("heading_deg = 0\n[planting]\ndate = 2026-05-06")
    return folder


def put_design(folder: Folder, *, season: int = 2026, east_m: float = 0.0) -> None:
    """Write the design of the strips, moved to the east."""
    strips = tuple(
        Strip(
            pair=one.pair,
            treatment=one.treatment,
            outline=shapely.affinity.translate(one.outline, east_m, 0.0),
        )
        for one in strips_laid()
    )
    made = StripDesign(season=season, width_m=BOOM_M, heading_deg=0.0, seed=3, strips=strips)
    design.write(folder.field, design.as_text(made, EPSG, ABOUT))


def put_done(folder: Folder, *rows: str) -> None:
    """Write done.csv; a row is pass, zones, day, product and source, with commas."""
    cells = []
    for row in rows:
        number, zones, day, product, source = row.split(",")
        cells.append(f"Field,{number},{zones},{day},ground rig,{product},{source}")
    (folder.path / "done.csv").write_text("\n".join([ROW, *cells]) + "\n")


def put_zones(
    path: Path,
    zones: Mapping[int, Polygon] = ZONES,
    pieces: Sequence[tuple[int, str, int, int | None, Polygon]] = (),
    run_id: str = RUN_ID,
) -> None:
    """Write a zones.gpkg by another library; `pieces` are pair, treatment, zone, pass, ground of strips."""
    path.parent.mkdir(parents=True, exist_ok=True)
    frames = {"zones": ({"zone": list(zones)}, list(zones.values()))}
    if pieces:
        names = ("pair", "treatment", "zone", "pass")
        columns = {name: [piece[place] for piece in pieces] for place, name in enumerate(names)}
        frames["check_strips"] = (columns, [piece[-1] for piece in pieces])
        frames["boundary"] = ({"run_id": [run_id]}, [FIELD])
    for layer, (columns, shapes) in frames.items():
        frame = geopandas.GeoDataFrame(columns, geometry=shapes, crs=EPSG).to_crs(4326)
        frame.to_file(path, layer=layer, engine="fiona")


def put_applied(folder: Folder, treated: Polygon, name: str = "rig.geojson", gal_ac: float = 15.0) -> Path:
    """Write what a sprayer wrote: treated ground, and the rest of the field with rate 0."""
    rest = FIELD.difference(treated)
    shapes = [treated, *([] if rest.is_empty else [rest])]
    (folder.field / name).parent.mkdir(exist_ok=True)
    folder.shapes(name, shapes, [{"rate_gal_ac": gal_ac}, {"rate_gal_ac": 0.0}][: len(shapes)])
    return folder.field / name


def inputs_of(folder: Folder, today: date = AFTER) -> tuple[Settings, FieldInputs]:
    """Read settings and field."""
    settings = folder.settings()
    return settings, read.field(settings, today, layers=False)


def ground(folder: Folder, today: date = AFTER, **asked: Path | None) -> TrialGround:
    """The ground of the field's trial."""
    settings, given = inputs_of(folder, today)
    return ground_of(settings, given, today, **asked)


def codes(found: TrialGround) -> list[str]:
    """What was said, without the name of the room."""
    return [note.code.removeprefix("trial_ground.") for note in found.notes]
