"""planting.geojson, where it came from, and the setting that names it: written all together or not at all."""

import json
from typing import TYPE_CHECKING

import shapely

from zoning import __version__
from zoning.errors import SETTINGS, InputError
from zoning.fetch.planting.preview import Preview
from zoning.inputs import files, store
from zoning.settings import edited
from zoning.settings.read import FARM_FILE, FIELD_FILE
from zoning.show import planting_blocks

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

PLANTING = "planting.geojson"
SOURCE = "planting_source.json"
PICTURE = "preview/planting_blocks.png"


def draw(found: Preview) -> str:
    """Write the picture of the blocks into the field's folder; its name there.

    Raises
    ------
    InputError
        When the disk or its permissions refuse (exit 4).
    """
    store.write_bytes(found.settings.folder / PICTURE, _picture(found))
    return PICTURE


def confirm(found: Preview) -> tuple[str, ...]:
    """Write the planting of a field: planting.geojson, its source, the picture, and the setting if needed.

    Returns
    -------
    tuple of str
        Names of the files that were written, in the field's folder; what was there stays as .bak.

    Raises
    ------
    InputError
        Exit 2 where farm.toml gives one date for all fields; exit 4 when the disk refuses.
    """
    folder = found.settings.folder
    contents = {
        folder / PLANTING: geojson(found),
        folder / SOURCE: source(found),
        folder / PICTURE: _picture(found),
    }
    setting = _setting(found)
    if setting is not None:
        contents[folder / FIELD_FILE] = setting
    store.write_all(contents)
    return tuple(path.relative_to(folder).as_posix() for path in contents)


def geojson(found: Preview) -> bytes:
    """Give the planting layer: EPSG:4326, one record a line."""
    shapes = [json.loads(one) for one in shapely.to_geojson(found.lonlat)]
    lines = [
        json.dumps({"type": "Feature", "properties": row, "geometry": shape}, ensure_ascii=False)
        for row, shape in zip(found.rows, shapes, strict=True)
    ]
    whole = ",\n".join(lines)
    return f'{{"type": "FeatureCollection", "features": [\n{whole}\n]}}\n'.encode()


def source(found: Preview) -> bytes:
    """Say where the planting layer came from: names and hashes of files, columns, and the day."""
    sowings = found.sowings
    told = {
        "kind": "sprayworth planting source",
        "schema_version": 1,
        "sprayworth": __version__,
        "file": sowings.file,
        "format": sowings.kind,
        "sha256": {path.name: files.sha256(path) for path in sowings.paths},
        "tasks": list(sowings.tasks),
        "taken_on": found.on.isoformat(),
        "columns": {one.role: one.column for one in sowings.taken},
        "units": {one.role: one.unit for one in sowings.taken if one.unit},
        "records": len(found.rows),
        "records_of_file": found.of_file,
    }
    return (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode()


def _picture(found: Preview) -> bytes:
    return planting_blocks.png(
        planting_blocks.Shown(
            field=found.settings.name,
            file=found.sowings.file,
            outline=found.planted.whole,
            blocks=found.planted.blocks,
            records_m=found.at_m,
            is_metric=found.settings.units == "metric",
        )
    )


def _setting(found: Preview) -> bytes | None:
    """Give field.toml with planting.geojson as its planting file; None where it is that already.

    Raises
    ------
    InputError
        Where a date of farm.toml would stand against it.
    """
    settings = found.settings
    given = {key: settings.origin.get(f"planting.{key}", "") for key in ("file", "date")}
    if given["date"].startswith(FARM_FILE):
        what = f"farm.toml has one planting date for all fields, which stands against {PLANTING}"
        mend = "Move date from [planting] in farm.toml to the field.toml of the other fields."
        raise InputError(what, where=settings.where("planting.date"), mend=mend, code=SETTINGS)
    named = settings.planting.file
    is_named = named is not None and settings.path("planting.file", named) == settings.folder / PLANTING
    if not given["date"] and (is_named or not given["file"]):
        return None
    return edited.changed((settings.folder / FIELD_FILE).read_bytes(), _name_it)


def _name_it(document: "TOMLDocument") -> None:
    """Name the file in [planting], and take a date out; a comment behind it goes with it to the file."""
    import tomlkit

    if "planting" not in document:
        document["planting"] = tomlkit.table()
    planting = document["planting"]
    given = planting.item("date") if "date" in planting else None
    if "file" in planting:
        planting["file"] = PLANTING
    else:
        named = tomlkit.string(PLANTING)
        if given is not None and given.trivia.comment and not isinstance(planting, tomlkit.items.InlineTable):
            named.comment(given.trivia.comment)
        planting.add("file", named)
    if given is not None:
        del planting["date"]
