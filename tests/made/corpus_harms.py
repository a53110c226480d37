"""Small ways to spoil a field that many cases of the corpus share: write, set, add, and draw other shapes."""

import json
import re
import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import fiona
from corpus_case import Case
from shapely.geometry import mapping, shape

Harm = Callable[[Path], None]
Ring = list[list[float]]


def all_of(*harms: Harm) -> Harm:
    """Do one after the other."""

    def harm(field: Path) -> None:
        for one in harms:
            one(field)

    return harm


def of_farm(harm: Harm) -> Harm:
    """Spoil farm.toml."""
    return lambda field: harm(field.parent)


def put(name: str, content: str | bytes) -> Harm:
    """Write a file of the field, also where there is another one."""

    def harm(field: Path) -> None:
        path = field / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())

    return harm


def again(name: str, change: Callable[[bytes], bytes]) -> Harm:
    """Write the bytes of a file anew."""
    return lambda field: put(name, change((field / name).read_bytes()))(field)


def keyed(key: str, value: str, name: str = "field.toml") -> Harm:
    """Write the value of a key that is there anew."""

    def harm(field: Path) -> None:
        text, times = re.subn(
            rf"(?m)^{key} = .*$", lambda _: f"{key} = {value}", (field / name).read_text(), count=1
        )
        assert times == 1, f"{key} is not in {name}"
        (field / name).write_text(text)

    return harm


def first(line: str, name: str = "field.toml") -> Harm:
    """Write a line before all tables."""
    return again(name, lambda raw: line.encode() + b"\n" + raw)


def added(table: str, name: str = "field.toml") -> Harm:
    """Write a table after all others."""
    return again(name, lambda raw: raw + f"\n{table}\n".encode())


def geojson(name: str, change: Callable[[Any], Any]) -> Harm:
    """Change what stands in a GeoJSON file; a change that gives nothing has done it in place."""

    def harm(field: Path) -> None:
        whole = json.loads((field / name).read_text())
        changed = change(whole)
        (field / name).write_text(json.dumps(whole if changed is None else changed))

    return harm


def geometry(change: Callable[[Ring], object], name: str = "boundary.geojson") -> Harm:
    """Give the first shape another geometry, made of the corners of its outline."""

    def of(whole: Any) -> None:
        one = whole["features"][0]
        one["geometry"] = change(one["geometry"]["coordinates"][0])

    return geojson(name, of)


def polygon(*rings: Ring) -> dict[str, object]:
    return {"type": "Polygon", "coordinates": list(rings)}


def moved(change: Callable[[float, float], Sequence[float]], name: str = "boundary.geojson") -> Harm:
    """Move every corner of the first shape."""
    return geometry(lambda ring: polygon([list(change(*corner)) for corner in ring]), name)


def outline(field: Path) -> Any:
    """Give the field's ground, in longitude and latitude."""
    return shape(json.loads((field / "boundary.geojson").read_text())["features"][0]["geometry"])


def saved(name: str, layer: str | None = None, crs: str = "EPSG:4326") -> Harm:
    """Save the boundary in another format, and name that file."""

    def harm(field: Path) -> None:
        schema = {"geometry": "Polygon", "properties": {"id": "int"}}
        more = {"layer": layer} if layer else {}
        driver = "GPKG" if name.endswith(".gpkg") else "ESRI Shapefile"
        with fiona.open(field / name, "w", driver=driver, schema=schema, crs=crs, **more) as file:
            file.write({"geometry": mapping(outline(field)), "properties": {"id": 1}})
        (field / "boundary.geojson").unlink()

    return all_of(harm, keyed("file", f'"{name}"'))


def called(name: str, content: str | bytes = b"nothing that is a map") -> Harm:
    """Name another file as the boundary; its content."""
    return all_of(put(name, content), keyed("file", json.dumps(name)))


def queried(name: str, *statements: str) -> Harm:
    """Do something to a GeoPackage as to any database."""

    def harm(field: Path) -> None:
        base = sqlite3.connect(field / name)
        for one in statements:
            base.execute(one)
        base.commit()
        base.close()

    return harm


def cases(kind: str, rows: dict[str, tuple[Any, ...]]) -> tuple[Case, ...]:
    """Make the cases of one kind: name -> harm, exit code, words."""
    return tuple(
        Case(name=name, kind=kind, harm=harm, code=code, words=words, **(more[0] if more else {}))
        for name, (harm, code, words, *more) in rows.items()
    )
