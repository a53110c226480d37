"""Bad scouting: tables, GeoJSON and GPX that a scout or somebody else sent."""

import json
from pathlib import Path

from corpus_bases import SCOUTING, middle
from corpus_case import Case
from corpus_weather import FORMULA, MANY, Harm

LON, LAT = middle()
HEAD = "date,lat,lon,stage,k,n,note,photo"
PLACE = f"2026-07-06,{LAT:.6f},{LON:.6f}"
ADD = ("scout", "{farm}", "--add", "{field}/sent.csv")
RIGHT_TO_LEFT = "\u202e"
HOSTS = (
    """<!DOCTYPE gpx [<!ENTITY a SYSTEM "file:///etc/hostname"><!ENTITY b SYSTEM "http://127.0.0.1:9/">]>"""
)
LAUGHS = "<!DOCTYPE gpx [<!ENTITY l0 'ha'>{}]>".format(
    "".join(f"<!ENTITY l{n} '{f'&l{n - 1};' * 10}'>" for n in range(1, 10))
)
POINT = f'<wpt lat="{LAT}" lon="{LON}"><time>2026-07-06T12:00Z</time><name>R3 {{}}</name></wpt>'


def table(*rows: str, head: str = HEAD) -> Harm:
    """Give the field these rows of scouting."""
    return lambda field: _put(field / SCOUTING, "\n".join((head, *rows)).encode())


def row(cells: str) -> Harm:
    """Give the field one row: what stands behind its day and place."""
    return table(f"{PLACE},{cells}")


def instead(name: str, content: bytes) -> Harm:
    """Give the field a file of another format."""

    def harm(field: Path) -> None:
        _put(field / name, content)
        told = field / "field.toml"
        told.write_text(told.read_text(encoding="utf-8").replace(SCOUTING, name), encoding="utf-8")

    return harm


def sent(content: bytes) -> Harm:
    """Put a file of a consultant beside the field's own."""
    return lambda field: _put(field / "sent.csv", content)


def gpx(points: str, before: str = "") -> bytes:
    head = '<?xml version="1.0"?>'
    return f'{head}{before}<gpx xmlns="http://www.topografix.com/GPX/1/1">{points}</gpx>'.encode()


def geojson(coordinates: object, **about: object) -> bytes:
    point = {"type": "Point", "coordinates": coordinates}
    one = {"type": "Feature", "geometry": point, "properties": {"date": "2026-07-06", **about}}
    return json.dumps({"type": "FeatureCollection", "features": [one]}).encode()


def _put(path: Path, content: bytes) -> None:
    path.write_bytes(content)


def case(name: str, harm: Harm, code: int, *words: str, command: tuple[str, ...] = ()) -> Case:
    """A case of a rich farm: what is refused is refused by `run`, what is doubted is told by `check`."""
    command = command or ("run" if code else "check", "{field}")
    return Case(f"scouting {name}", "scouting", harm, code, words, "rich", command)


def doubt(name: str, cells: str, *words: str) -> Case:
    return case(name, row(cells), 0, f"{SCOUTING}:2", *words)


def deep_gpx() -> bytes:
    return gpx("<a>" * 200_000)


CASES: tuple[Case, ...] = (
    doubt("of more plants than were looked at", "R3,12,10", "12"),
    doubt("of fewer plants than none", "R3,-3,10", "-3"),
    doubt("of no plants", "R3,0,0", "0"),
    doubt("of half a plant", "R3,2.5,10", "2.5"),
    doubt("of too many plants", "R3,1e400,1e400", "1e400"),
    case("of a number in digits of another script", row("R3,٣,10"), 0, "1 counts"),
    doubt("of a stage that is a script", "<script>alert(1)</script>,3,10", "<script>"),
    doubt("of a stage from right to left", f"{RIGHT_TO_LEFT}3R,3,10", 'stage "3R" is not known'),
    doubt("of a stage that is a formula", f"{FORMULA},3,10"),
    case("with a photo out of the folder", row("R3,3,10,,../../../etc/passwd"), 0, "1 counts"),
    case("with a photo on the network", row("R3,3,10,,http://127.0.0.1:9/x.jpg"), 0, "1 counts"),
    case("at no place of the world", table("2026-07-06,0,0,R3,3,10"), 0, f"{SCOUTING}:2", "outside"),
    case("at infinity", table("2026-07-06,inf,nan,R3,3,10"), 0, f"{SCOUTING}:2", "inf"),
    case("of 29 February", table(f"2026-02-29,{LAT},{LON},R3,3,10"), 0, f"{SCOUTING}:2", "2026-02-29"),
    case("of the year 1", table(f"0001-01-01,{LAT},{LON},R3,3,10"), 0, SCOUTING),
    case("of the year 9999", table(f"9999-12-31,{LAT},{LON},R3,3,10"), 0, f"{SCOUTING}:2", "9999-12-31"),
    case("of the end of all time", table(f"9999-12-31T23:59-12:00,{LAT},{LON},R3,3,10"), 0, f"{SCOUTING}:2"),
    case("of a million columns", table(PLACE, head=HEAD + ",x" * MANY), 3, f"{SCOUTING}:1", "columns"),
    case(
        "of many columns without a day",
        table(PLACE, head=",".join(f"c{n}" for n in range(900))),
        3,
        SCOUTING,
        "and 888 more",
    ),
    case(
        "with columns twice",
        table(f"{PLACE},R3,3,10,,,9", head=HEAD + ",k"),
        3,
        SCOUTING,
        "stand there twice: k. Take one away",
    ),
    case(
        "in UTF-16",
        lambda f: _put(f / SCOUTING, f"{HEAD}\n{PLACE},R3,3,10".encode("utf-16")),
        3,
        SCOUTING,
        "UTF-8",
    ),
    case(
        "with decimal commas",
        table(f"2026-07-06,{LAT:.4f},{LON:.4f}".replace(".", ",") + ",R3,3,10"),
        0,
        f"{SCOUTING}:2",
    ),
    case(
        "with a quote that is not closed",
        table(*[f'{PLACE},R3,3,10,"note', *[PLACE] * 20_000]),
        3,
        f"{SCOUTING}:2",
        "quoted",
    ),
    case("with a line of quotes", row("R3,3,10," + '"' * 100_001), 3, f"{SCOUTING}:2", "quoted"),
    case("that is a program", lambda f: _put(f / SCOUTING, b"\x7fELF\0\0\0\0"), 3, SCOUTING, "text table"),
    case("that is only a header", table(), 0, "0 counts"),
    case("in GPX with laughs", instead("s.gpx", gpx(POINT.format("&l9;"), LAUGHS)), 3, "s.gpx:1", "entities"),
    case(
        "in GPX with files of others",
        instead("s.gpx", gpx(POINT.format("&a;&b;"), HOSTS)),
        3,
        "s.gpx:1",
        "entities",
    ),
    case("in GPX without an end", instead("s.gpx", deep_gpx()), 3, "s.gpx", "line 1"),
    case(
        "in GPX of another alphabet",
        instead("s.gpx", b'<?xml version="1.0" encoding="utf-7"?><gpx/>'),
        3,
        "s.gpx",
    ),
    case(
        "in GPX that is a page",
        instead("s.gpx", b"<html><script>alert(1)</script></html>"),
        3,
        "s.gpx",
        "no GPX",
    ),
    case("in GeoJSON without a bottom", instead("s.json", b"[" * 100_000), 3, "s.json", "GeoJSON"),
    case(
        "in GeoJSON at infinity",
        instead("s.json", geojson([float("inf"), LAT], stage="R3", k=3, n=10)),
        0,
        "s.json: point 1",
    ),
    case(
        "in GeoJSON with an endless number",
        instead("s.json", b'{"features": [' + b"9" * 100_000 + b"]}"),
        3,
        "s.json",
        "GeoJSON",
    ),
    case(
        "in GeoJSON of nothing",
        instead("s.json", b'{"type": "FeatureCollection", "features": []}'),
        3,
        "s.json",
        "no points",
    ),
    case("in GeoJSON of shapes", instead("s.json", geojson([[LON, LAT]], stage="R3")), 0, "s.json: point 1"),
    case(
        "sent of a million columns",
        sent((HEAD + ",x" * MANY + f"\n{PLACE}").encode()),
        3,
        "sent.csv:1",
        "columns",
        command=ADD,
    ),
    case(
        "sent in UTF-16",
        sent(f"{HEAD}\n{PLACE},R3,3,10".encode("utf-16")),
        3,
        "sent.csv",
        "UTF-8",
        command=ADD,
    ),
    case("sent as a shapefile", sent(b"\0\0\x27\x0a" + bytes(96)), 3, "sent.csv", command=ADD),
    case(
        "sent with a formula",
        sent(f"{HEAD}\n{PLACE},{FORMULA},3,10,=1+1".encode()),
        0,
        "line 2: stage",
        "is not known; write R1 to R8",
        command=ADD,
    ),
    case(
        "sent of a place out of the folder",
        sent(b"date,lat,lon,field\n2026-07-06,0,0,../../x"),
        0,
        "line 2",
        command=ADD,
    ),
)
