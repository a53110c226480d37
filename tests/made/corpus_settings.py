"""Bad settings: what somebody types, or a program saves, in farm.toml and field.toml."""

from pathlib import Path

from corpus_case import Case
from corpus_harms import Harm, added, again, all_of, cases, first, keyed, of_farm, put

DEEP = 100_000
ESCAPE = "\\u001b[2J"  # empties the screen of who reads it
TURNED = "\\u202egnp.tset"  # shows as "test.png"
PRICE = "grain_price"
GROUP = "maturity_group"
ANSWERED = {"command": ("check", "{field}")}  # a doubt: the answer stands in what is printed


def in_place_of(name: str, target: str) -> Harm:
    """Make a file of the field a link."""

    def harm(field: Path) -> None:
        (field / name).unlink(missing_ok=True)
        (field / name).symlink_to(target)

    return harm


def moved_out(field: Path) -> None:
    """Keep the map on a disk that many share."""
    (field / "boundary.geojson").rename(field.parent.parent / "elsewhere.geojson")


def leading(name: str) -> Harm:
    """Make a file of the farm a link to what goes on for ever."""
    return of_farm(in_place_of(name, "/dev/zero"))


def boundary_at(path: str) -> Harm:
    return keyed("file", path)


def to_crlf(raw: bytes) -> bytes:
    return raw.replace(b"\n", b"\r\n")


TYPED = {
    "price without a unit": (keyed(PRICE, "11.03"), 2, ("field.toml:10", PRICE, "USD/bu")),
    "price in another money": (keyed(PRICE, '"11 EUR/bu"'), 2, ("field.toml:10", "USD here, not EUR")),
    "price with a decimal comma": (keyed(PRICE, '"11,03 USD/bu"'), 2, ("field.toml:10", "comma")),
    "price that is no number": (keyed(PRICE, '"nan USD/bu"'), 2, ("field.toml:10", PRICE)),
    "price beyond all numbers": (keyed(PRICE, '"1e999 USD/bu"'), 2, ("field.toml:10", PRICE)),
    "price below nothing": (keyed(PRICE, '"-11 USD/bu"'), 2, ("field.toml:10", PRICE)),
    "spacing of the wrong dimension": (
        keyed("row_spacing", '"15 gal/ac"'),
        2,
        ("field.toml:6", "row_spacing", "wrong kind of unit"),
    ),
    "spacing of metres for inches": (keyed("row_spacing", '"15 m"'), 2, ("field.toml:6", "out of range")),
    "group nan": (keyed(GROUP, "nan"), 2, ("field.toml:2", GROUP)),
    "group inf": (keyed(GROUP, "-inf"), 2, ("field.toml:2", GROUP)),
    "group true": (keyed(GROUP, "true"), 2, ("field.toml:2", GROUP)),
    "group of a million digits": (keyed(GROUP, "1" * 10**5), 2, ("field.toml:2", "digits")),
    "group with a million decimals": (keyed(GROUP, "1." + "9" * 10**6), 2, ("field.toml", "large")),
    "heading of a full turn": (keyed("heading_deg", "360"), 2, ("field.toml:7", "heading_deg")),
    "planted on 29 February of a short year": (
        again("field.toml", lambda raw: raw.replace(b'file = "planting.geojson"', b"date = 2026-02-29")),
        2,
        ("field.toml:16", "invalid date"),
    ),
    "planted in the year 1": (
        again("field.toml", lambda raw: raw.replace(b'file = "planting.geojson"', b"date = 0001-01-01")),
        3,
        ("field.toml:16", "0001-01-01", "season"),
    ),
    "season of the year 0": (of_farm(keyed("season", "0", "farm.toml")), 2, ("farm.toml:5", "season")),
    "season of another century": (
        of_farm(keyed("season", "20266", "farm.toml")),
        2,
        ("farm.toml:5", "season"),
    ),
    "time zone that climbs": (
        of_farm(keyed("time_zone", '"../../etc/passwd"', "farm.toml")),
        2,
        ("farm.toml:7", "time_zone"),
    ),
    "time zone of a whole path": (
        of_farm(keyed("time_zone", '"/etc/localtime"', "farm.toml")),
        2,
        ("farm.toml:7", "time_zone"),
    ),
    "sprayer that stands nowhere": (
        of_farm(keyed("base", "[nan, 200.0]", "farm.toml")),
        2,
        ("farm.toml:65", "base"),
    ),
    "interval of half a day": (
        of_farm(keyed("pre_harvest_interval_d", "1.5", "farm.toml")),
        2,
        ("farm.toml:31", "pre_harvest_interval_d"),
    ),
    "table where a text belongs": (first("variety = { a = 1 }"), 2, ("field.toml:1", "variety")),
    "text where a table belongs": (first('weather = "weather.csv"'), 2, ("field.toml:1", "weather")),
    "list where a table belongs": (added("[[zones]]\ncell = '10 m'"), 2, ("field.toml", "[zones]")),
    "key with a letter of another alphabet": (first('v\u0430riety = "x"'), 2, ("field.toml:1",)),
    "quoted key with a letter of another alphabet": (first('"v\u0430riety" = "x"'), 2, ("field.toml:1",)),
    "key that empties the screen": (first(f'"a{ESCAPE}b" = 1'), 2, ("field.toml:1", "unknown key")),
    "key of many letters": (first("k" * 100_000 + " = 1"), 2, ("field.toml:1", "unknown key")),
    "value that empties the screen": (first(f'units = "{ESCAPE}"'), 2, ("field.toml:1", "units")),
    "script tags for a key": (first('"<script>alert(1)</script>" = 1'), 2, ("field.toml:1", "unknown key")),
}

FORM = {
    "key twice": (first("maturity_group = 2.0"), 2, ("field.toml:3", "twice")),
    "table twice": (added("[money]\nproduct = '5 USD/ac'"), 2, ("field.toml", "twice")),
    "saved as UTF-16": (
        again("field.toml", lambda raw: raw.decode().encode("utf-16")),
        2,
        ("field.toml", "UTF-8", "Save it again"),
    ),
    "byte-order mark": (
        again("field.toml", lambda raw: b"\xef\xbb\xbf" + raw),
        0,
        ("q00001: level 3", "[field.toml:1]"),
        ANSWERED,
    ),
    "ends of lines of another system": (
        again("field.toml", to_crlf),
        0,
        ("q00001: level 3", "[field.toml:16]"),
        ANSWERED,
    ),
    "ends of lines of an old machine": (
        again("field.toml", lambda raw: raw.replace(b"\n", b"\r")),
        2,
        ("field.toml:1",),
    ),
    "bytes of nothing": (again("field.toml", lambda raw: raw + b"\0" * 512), 2, ("field.toml:17",)),
    "nothing but a remark": (put("field.toml", "# to be filled in\n"), 2, ("field.toml", "empty")),
    "lists in lists": (first("a = " + "[" * DEEP + "]" * DEEP), 2, ("field.toml", "deep")),
    "some lists in lists": (first("a = " + "[" * 30 + "]" * 30), 2, ("field.toml", "deep")),
    "tables in tables": (first("a = " + "{b = " * 50_000 + "1" + "}" * 50_000), 2, ("field.toml", "deep")),
    "key of many parts": (first(".".join("a" * DEEP) + " = 1"), 2, ("field.toml", "deep")),
    "hundred thousand keys": (
        again("field.toml", lambda raw: "".join(f"k{i} = 1\n" for i in range(DEEP)).encode() + raw),
        2,
        ("field.toml", "large"),
    ),
    "two hundred keys that nobody knows": (
        first("\n".join(f"k{i} = 1" for i in range(200))),
        2,
        ("field.toml:1: k0", "field.toml:101: k100 = 1: this and 99 more faults"),
    ),
    "farm's text of ten megabytes": (
        of_farm(again("farm.toml", lambda raw: raw + b"# " + b"x" * 10**7)),
        2,
        ("farm.toml", "large"),
    ),
}

PATHS = {
    "path that climbs out to nothing": (
        boundary_at('"../../../../../../../../nowhere/b.geojson"'),
        2,
        ("field.toml:13", "there is no file"),
    ),
    "whole path to nothing": (boundary_at('"/nowhere/b.geojson"'), 2, ("field.toml:13", "there is no file")),
    "path to the words of the system": (boundary_at('"/etc/passwd"'), 3, ("passwd", "not read here")),
    "path to a device": (boundary_at('"/dev/zero"'), 2, ("field.toml:13", "no file with content")),
    "path over the network": (
        boundary_at('"/vsicurl/http://127.0.0.1:9/b.geojson"'),
        2,
        ("field.toml:13", "there is no file"),
    ),
    "address for a path": (
        boundary_at('"http://127.0.0.1:9/b.geojson"'),
        2,
        ("field.toml:13", "there is no file"),
    ),
    "path into an archive": (
        boundary_at('"zip://b.zip!b.geojson"'),
        2,
        ("field.toml:13", "there is no file"),
    ),
    "path with a letter of nothing": (boundary_at('"b\\u0000.geojson"'), 2, ("field.toml:13", "file")),
    "path that turns around": (boundary_at(f'"{TURNED}"'), 2, ("field.toml:13",)),
    "path of a reserved name": (boundary_at('"CON"'), 2, ("field.toml:13", "there is no file")),
    "link to what goes on for ever": (
        in_place_of("boundary.geojson", "/dev/zero"),
        2,
        ("field.toml:13", "no file with content"),
    ),
    "link to a folder above": (in_place_of("boundary.geojson", ".."), 2, ("field.toml:13", "a folder")),
    "passes that lead to a device": (leading("done.csv"), 2, ("done.csv", "pipe or a device")),
    "seasons that lead to a device": (leading("season.csv"), 2, ("season.csv", "pipe or a device")),
    "trials that lead to a device": (leading("learned.toml"), 2, ("learned.toml", "pipe or a device")),
    "link to a map outside of the farm": (
        all_of(moved_out, in_place_of("boundary.geojson", "../../elsewhere.geojson")),
        0,
        ("12.0 ac", '"boundary.geojson"  [field.toml:13]'),
        ANSWERED,
    ),
    "link to another's words": (in_place_of("field.toml", "/etc/passwd"), 2, ("field.toml:1",)),
}

NAMES = {
    "name that turns around": (keyed("name", f'"{TURNED}"'), 2, ("field.toml:1", "name")),
    "name that empties the screen": (keyed("name", f'"{ESCAPE}"'), 2, ("field.toml:1", "name")),
    "name of two lines": (keyed("name", '"a\\nb"'), 2, ("field.toml:1", "name")),
    "name of a hundred thousand letters": (
        keyed("name", '"' + "n" * 10**5 + '"'),
        2,
        ("field.toml:1", "name"),
    ),
    "farm's name that turns around": (
        of_farm(keyed("name", f'"{TURNED}"', "farm.toml")),
        2,
        ("farm.toml:2", "name"),
    ),
    "name that climbs": (keyed("name", '"../../up"'), 0, ('"../../up"',), ANSWERED),
    "name of a device": (keyed("name", '"CON"'), 0, ('"CON"',), ANSWERED),
    "variety that turns around": (first(f'variety = "{TURNED}"'), 2, ("field.toml:1", "variety")),
    "neighbour that turns around": (added(f'[neighbours]\nnorth = "{TURNED}"'), 2, ("field.toml", "north")),
    "sprayer that turns around": (
        of_farm(again("farm.toml", lambda raw: raw.replace(b"rig 1a", TURNED.encode()))),
        2,
        ("farm.toml:53", "name"),
    ),
    "hub that turns around": (
        of_farm(again("farm.toml", lambda raw: raw.replace(b"hub 1", TURNED.encode()))),
        2,
        ("farm.toml:54", "hub"),
    ),
    "droplet that empties the screen": (
        of_farm(keyed("droplet", f'"{ESCAPE}"', "farm.toml")),
        2,
        ("farm.toml", "droplet"),
    ),
}

CASES: tuple[Case, ...] = cases("settings", TYPED | FORM | PATHS | NAMES)
