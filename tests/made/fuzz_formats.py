"""Ways to spoil a file from the inside: what is changed is well formed as the format has it, and wrong."""

import copy
import io
import json
import re
import sqlite3
import struct
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import PurePosixPath

from fuzz_changes import DAYS, NUMBERS, WORDS, Draw, cell_of_table, of_bytes, of_text, word

from zoning.farm.kept import container

Change = Callable[[Draw, bytes], bytes]
_MOST_MEMBERS = 40
_LARGEST_BYTES = 2_000_000  # larger files only take longer


def _any(draw: Draw) -> object:
    """Draw a value of JSON that nobody expects there."""
    deep: object = 1
    for _ in range(draw.choice((3, 200))):
        deep = [deep]
    return draw.choice(
        (None, True, False, 0, -1, 1, 2**63, -(10**30), 0.5, 1e308, -1e308, float("nan"), float("inf"), "",
         [], {}, [[]], [[[]]], [None], {"": None}, [1, "a"], [0, 0], [1e308, 1e308], [[0, 0], [0, 0]], deep,
         word(draw), draw.choice(NUMBERS), draw.choice(DAYS), draw.choice(WORDS), "Point", "Polygon",
         "MultiPolygon", "GeometryCollection", "FeatureCollection")
    )  # fmt: skip


def _places(thing: object) -> list[tuple[object, object]]:
    """List every place in a value of JSON: what holds it, and under which key."""
    found: list[tuple[object, object]] = []
    waiting = [thing]
    while waiting:
        one = waiting.pop()
        keys = list(one) if isinstance(one, dict) else range(len(one)) if isinstance(one, list) else ()
        for key in keys:
            found.append((one, key))
            waiting.append(one[key])
    return found


def of_json(draw: Draw, data: bytes) -> bytes:
    """Change values of JSON: another, none, twice, of another place, or under another name."""
    try:
        whole = json.loads(data)
    except (ValueError, RecursionError):
        return of_text(draw, data)
    for _ in range(draw.choice((1, 1, 1, 2, 4))):
        places = _places(whole)
        if not places:
            break
        holder, key = draw.choice(places)
        what = draw.random()
        if what < 0.55:
            holder[key] = _any(draw)
        elif what < 0.7:
            del holder[key]
        elif what < 0.8 and isinstance(holder, list):
            holder.insert(key, copy.deepcopy(holder[key]))
        elif what < 0.9:
            other, under = draw.choice(places)
            holder[key] = copy.deepcopy(other[under]) if under in other or isinstance(other, list) else None
        elif isinstance(holder, dict):
            holder[word(draw)] = holder.pop(key)
    try:
        return json.dumps(whole, ensure_ascii=draw.random() < 0.5).encode("utf-8", "surrogatepass")
    except (ValueError, RecursionError, IndexError):
        return of_text(draw, data)


_TOML = (
    "", "[]", "[[]]", "{}", "{ a = 1 }", "true", "nan", "inf", "-inf", "1e400", "-1", "0",
    "9223372036854775807", "99999999999999999999", "0x7fffffff", "1979-05-27T07:32:00Z", "07:32:00",
    "0001-01-01", "9999-12-31", '""', '" "', '"\\u0000"', '"\\U0001f33e"', '"\\u202eevil"',
    '"1e400 USD/ac"', '"-0 ft"', '"nan ft"', '"0 gal/ac"', '"1e-320 ft"', '"5 %"', '"0.25 % v/v"',
    '"90 ft "', '"90ft"', '"９０ ft"', '"1e308 ft"', '["0 psi", "0 psi"]', '["90 psi", "30 psi"]',
    '["30 psi"]', "[1, 2]", "[nan, nan]", "[91.0, 181.0]", '["a", 1]', "'''\na\n'''", '"../../x"',
    '"/dev/zero"', '"boundary.geojson"', '"."', '"field.toml"', '"NDVI"', '"own trials"', '"R7"',
    "2026-02-29", "2026-05-06",
)  # fmt: skip
_PAIR = re.compile(rb"^([ \t]*[A-Za-z_.\"-]+[ \t]*=[ \t]*)(.*)$", re.MULTILINE)


def of_toml(draw: Draw, data: bytes) -> bytes:
    """Give keys of a settings file other values."""
    pairs = list(_PAIR.finditer(data))
    if not pairs or draw.random() < 0.4:
        return of_text(draw, data)
    one = draw.choice(pairs)
    new = draw.choice(_TOML) if draw.random() < 0.8 else draw.choice(pairs)[2].decode("utf-8", "replace")
    return data[: one.start(2)] + new.encode() + data[one.end(2) :]


_ATTRIBUTE = re.compile(rb'="[^"]*"')
_TAG = re.compile(rb"<[A-Za-z][^>]*>")
_DOCTYPES = (
    b'<!DOCTYPE a [<!ENTITY x "y">]>', b'<!DOCTYPE a SYSTEM "file:///etc/passwd">',
    b'<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>',
)  # fmt: skip


def of_xml(draw: Draw, data: bytes) -> bytes:
    """Change an attribute, double or drop a tag, or declare what nobody needs."""
    what, tags, told = draw.random(), list(_TAG.finditer(data)), list(_ATTRIBUTE.finditer(data))
    if what < 0.45 and told:
        one = draw.choice(told)
        text = word(draw) if draw.random() < 0.6 else draw.choice(told)[0][2:-1].decode("utf-8", "replace")
        safe = text.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
        return data[: one.start()] + f'="{safe}"'.encode("utf-8", "replace") + data[one.end() :]
    if what < 0.55 and tags:
        one = draw.choice(tags)
        return data[: one.start()] + one[0] * draw.choice((0, 2)) + data[one.end() :]
    if what < 0.6:
        at = data.find(b"?>") + 2 if b"?>" in data else 0
        return data[:at] + draw.choice(_DOCTYPES) + data[at:]
    return of_text(draw, data)


def of_zip(draw: Draw, data: bytes) -> bytes:
    """Pack the members again: one spoiled, renamed, twice, or packed in another way."""
    if draw.random() < 0.3:
        return of_bytes(draw, data)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            members = [(one.filename, file.read(one)) for one in file.infolist()[:_MOST_MEMBERS]]
    except (zipfile.BadZipFile, OSError, ValueError):
        return of_bytes(draw, data)
    at = draw.randrange(len(members))
    name, content = members[at]
    what = draw.random()
    if what < 0.6:
        members[at] = name, changed(draw, name, content)
    elif what < 0.8:
        members[at] = word(draw)[:200] or "a", content
    elif what < 0.9:
        del members[at]
    else:
        members.append(
            (draw.choice(("../x.shp", "/x.shp", "TASKDATA/x.BIN", "a/b/c.shp", name.upper())), content)
        )
    made = io.BytesIO()
    method = draw.choice((zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA))
    with zipfile.ZipFile(made, "w", method) as file:
        for name, content in members:
            file.writestr(zipfile.ZipInfo(name.encode("utf-8", "replace").decode()), content, method)
    return made.getvalue() if draw.random() < 0.8 else of_bytes(draw, made.getvalue())


_VALUES = (
    None,
    0,
    -1,
    1,
    2**62,
    0.5,
    1e308,
    -1e308,
    float("inf"),
    "",
    "a",
    b"",
    b"\0",
    b"GP\0\1",
    b"GP" + b"\0" * 60,
)


def of_database(draw: Draw, data: bytes) -> bytes:
    """Change a cell, a table or a column of a GeoPackage by SQL."""
    if draw.random() < 0.35:
        return of_bytes(draw, data)
    with closing(sqlite3.connect(":memory:")) as base:
        try:
            base.deserialize(data)
            # what the index calls is not known outside its own library
            triggers = [row[0] for row in base.execute("select name from sqlite_master where type='trigger'")]
            for name in triggers:
                base.execute(f'drop trigger "{name}"')
            _by_sql(draw, base)
            base.commit()
            return bytes(base.serialize())
        except sqlite3.Error:
            return of_bytes(draw, data)


def _by_sql(draw: Draw, base: sqlite3.Connection) -> None:
    query = "select name from sqlite_master where type='table' and name not like 'sqlite%' order by name"
    tables = [row[0] for row in base.execute(query)]
    table = draw.choice(tables)
    columns = [row[1] for row in base.execute(f'pragma table_info("{table}")')]
    column, what = draw.choice(columns), draw.random()
    if what < 0.7:
        rows = base.execute(f'select rowid, "{column}" from "{table}" order by rowid').fetchall()
        if not rows:
            return
        at, value = draw.choice(rows)
        if isinstance(value, bytes) and value and draw.random() < 0.7:
            new: object = of_bytes(draw, value)
        elif isinstance(value, str) and draw.random() < 0.3:
            new = of_text(draw, value.encode()).decode("utf-8", "replace")
        else:
            new = draw.choice((*_VALUES, word(draw).encode("utf-8", "replace").decode()))
        base.execute(f'update "{table}" set "{column}" = ? where rowid = ?', (new, at))
    elif what < 0.8:
        base.execute(f'drop table "{table}"')
    elif what < 0.9:
        base.execute(f'delete from "{table}"')
    else:
        base.execute(f'alter table "{table}" rename column "{column}" to "{word(draw)[:30] or "a"}"')


def of_tiff(draw: Draw, data: bytes) -> bytes:
    """Change an entry of a directory of a TIFF: its tag, type, count or value."""
    sign = {b"II": "<", b"MM": ">"}.get(data[:2])
    if sign is None or len(data) < 16 or draw.random() < 0.3:
        return of_bytes(draw, data)
    (at,) = struct.unpack_from(f"{sign}I", data, 4)
    if at + 2 > len(data):
        return of_bytes(draw, data)
    (entries,) = struct.unpack_from(f"{sign}H", data, at)
    here = at + 2 + 12 * draw.randrange(max(1, entries))
    if here + 12 > len(data):
        return of_bytes(draw, data)
    tag, kind, count, value = struct.unpack_from(f"{sign}HHII", data, here)
    edge = draw.choice(
        (0, 1, 2, 3, 7, 16, 255, 256, 65535, 2**16, 10**6, 2**31 - 1, 2**31, 2**32 - 1, len(data))
    )
    what = draw.randrange(5)
    if what == 0:
        tag = draw.choice(
            (256, 257, 258, 259, 262, 273, 277, 279, 317, 322, 323, 324, 33550, 33922, 34735, 42113)
        )
    elif what == 1:
        kind = draw.choice((0, 1, 2, 3, 4, 5, 11, 12, 13, 16, 18, 255))
    elif what == 2:
        count = edge
    else:
        value = edge if draw.random() < 0.7 else value + draw.choice((-8, -1, 1, 8, 4096)) & 0xFFFFFFFF
    return data[:here] + struct.pack(f"{sign}HHII", tag, kind, count, value) + data[here + 12 :]


def of_kept(draw: Draw, data: bytes) -> bytes:
    """Change a member of a kept file and seal it again, so that more than its checksum is tried."""
    if draw.random() < 0.15:
        return of_bytes(draw, data)
    try:
        members = container.unpacked(data)
        name = draw.choice([*members, "thing.json", "thing.json"])
        members[name] = (
            of_json(draw, members[name]) if name.endswith("json") else of_bytes(draw, members[name])
        )
        return container.packed(list(members.items()), stored=frozenset({"about.json"}))
    except (ValueError, KeyError):
        return of_bytes(draw, data)


def _either(first: Change, other: Change) -> Change:
    return lambda draw, data: (first if draw.random() < 0.6 else other)(draw, data)


BY_ENDING: dict[str, Change] = {
    ".json": _either(of_json, of_text), ".geojson": _either(of_json, of_text), ".toml": of_toml,
    ".csv": _either(cell_of_table, of_text), ".txt": of_text, ".gpx": of_xml, ".xml": of_xml, ".zip": of_zip,
    ".gpkg": of_database, ".tif": of_tiff, ".npz": of_kept, ".prj": of_text, ".cpg": of_text, "": of_text,
}  # fmt: skip


def changed(draw: Draw, name: str, data: bytes) -> bytes:
    """Spoil a file once or a few times, by the ending of its name."""
    change = BY_ENDING.get(PurePosixPath(name).suffix.lower(), of_bytes)
    for _ in range(draw.choice((1, 1, 1, 2, 2, 4, 8))):
        try:
            data = change(draw, data)
        except Exception:  # what was spoiled before may fail to open in any way
            data = of_bytes(draw, data)
        data = data[:_LARGEST_BYTES]
    return data
