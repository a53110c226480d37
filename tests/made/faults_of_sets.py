"""Faults for a good shapefile set: what is done to it, and the rule that must tell.

Each function takes the .shp of the set. Nothing here is written by the project: struct, and `made_sets`.
"""

import struct
from dataclasses import replace
from itertools import pairwise

import made_sets
from made_sets import Column, square

UTM_15 = (
    'PROJCS["WGS_1984_UTM_Zone_15N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,'
    '298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],'
    'PROJECTION["Transverse_Mercator"],UNIT["Meter",1.0]]'
)
NAD_27 = (
    'GEOGCS["GCS_North_American_1927",DATUM["D_North_American_1927",SPHEROID["Clarke_1866",6378206.4,'
    '294.9786982]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
)

WKT_2 = (
    'GEOGCRS["WGS 84",DATUM["World Geodetic System 1984",ELLIPSOID["WGS 84",6378137,298.257223563,'
    'LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,2],'
    'AXIS["latitude",north],AXIS["longitude",east],ANGLEUNIT["degree",0.0174532925199433]]'
)


def at(end, place, form, *values):
    """Write values over the bytes of one member."""

    def spoil(shp):
        path = shp.with_suffix(end)
        data = bytearray(path.read_bytes())
        struct.pack_into(form, data, place, *values)
        path.write_bytes(data)

    return spoil


def table(change):
    """Write the whole set anew with something changed."""
    return lambda shp: made_sets.write(shp, change(made_sets.read(shp)))


def text(end, words):
    return lambda shp: shp.with_suffix(end).write_text(words)


def gone(end):
    return lambda shp: shp.with_suffix(end).unlink()


def cut(end, keep):
    return lambda shp: shp.with_suffix(end).write_bytes(shp.with_suffix(end).read_bytes()[:keep])


def renamed(stem, ends=(".shp", ".shx", ".dbf", ".prj", ".cpg")):
    def spoil(shp):
        for end in ends:
            shp.with_suffix(end).rename(shp.with_name(stem + end))

    return spoil


def moved(shape, east=0.0, north=0.0):
    return [[(x + east, y + north) for x, y in ring] for ring in shape]


def every(change):
    """Change every point."""
    return table(
        lambda set_: replace(set_, shapes=[[[change(*p) for p in r] for r in s] for s in set_.shapes])
    )


def inside(set_):
    """A corner of the first polygon: a small square there lies in the field or across its edge."""
    return set_.shapes[0][0][0]


def bow_tie(shape):
    """Two points of the outer ring change places."""
    ring = list(shape[0])
    ring[1], ring[2] = ring[2], ring[1]
    return [ring, *shape[1:]]


def column(*columns):
    """Other columns, each with its texts."""
    return table(
        lambda set_: replace(
            set_,
            columns=tuple(one for one, _ in columns),
            texts=[[fill(old[0]) for _, fill in columns] for old in set_.texts],
        )
    )


def rates(*texts):
    return table(lambda set_: replace(set_, texts=[[texts[i % len(texts)]] for i in range(len(set_.texts))]))


def same(old):
    return old


def swap_rows(shp):
    """The index of the first two records changes places."""
    path = shp.with_suffix(".shx")
    data = path.read_bytes()
    path.write_bytes(data[:100] + data[108:116] + data[100:108] + data[116:])


def one_row_less(shp):
    path = shp.with_suffix(".dbf")
    data = path.read_bytes()
    rows, header, width = struct.unpack_from("<IHH", data, 4)
    path.write_bytes(data[:4] + struct.pack("<I", rows - 1) + data[8 : header + (rows - 1) * width] + b"\x1a")


def one_index_less(shp):
    path = shp.with_suffix(".shx")
    data = path.read_bytes()[:-8]
    path.write_bytes(data[:24] + struct.pack(">i", len(data) // 2) + data[28:])


def longer_by_words(shp):
    path = shp.with_suffix(".shp")
    data = bytearray(path.read_bytes())
    struct.pack_into(">i", data, 24, len(data) // 2 + 10)
    path.write_bytes(data)


def dense(set_):
    """More points on every edge, until old terminals have enough."""

    def ring(points):
        more = [points[0]]
        for (x, y), (u, v) in pairwise(points):
            more += [(x + (u - x) * k / 50, y + (v - y) * k / 50) for k in range(1, 50)] + [(u, v)]
        return more

    return replace(set_, shapes=[[ring(one) for one in shape] for shape in set_.shapes])


def in_columns(set_, count=120):
    """The field's box, cut into many upright polygons."""
    points = [point for shape in set_.shapes for ring in shape for point in ring]
    west, east = min(x for x, _ in points), max(x for x, _ in points)
    south, north = min(y for _, y in points), max(y for _, y in points)
    edges = [west + (east - west) * k / count for k in range(count + 1)]
    shapes = [[[(a, south), (a, north), (b, north), (b, south), (a, south)]] for a, b in pairwise(edges)]
    return replace(set_, shapes=shapes, texts=[["   15.00"] for _ in shapes])


def four_rates(set_):
    made = in_columns(set_, count=4)
    return replace(made, texts=[[f"   1{k}.00"] for k in range(4)])


def longer_header(shp):
    """A byte between columns and rows, as some programs leave."""
    path = shp.with_suffix(".dbf")
    data = path.read_bytes()
    path.write_bytes(data[:8] + struct.pack("<H", 66) + data[10:65] + b"\0" + data[65:])


def _first_point(shp):
    """Where the first coordinate stands, behind the first ring of each part."""
    (parts,) = struct.unpack_from("<i", shp.read_bytes(), 144)
    return 152 + 4 * parts


def _row(shp, row):
    _, header, width = struct.unpack_from("<IHH", shp.with_suffix(".dbf").read_bytes(), 4)
    return header + (row - 1) * width


def _joined(set_):
    """The last polygon moves into the row of the first."""
    return [[*set_.shapes[0], *set_.shapes[-1]], *set_.shapes[1:-1]]


def _largest(set_):
    """The row of the polygon that reaches widest."""

    def reach(shape):
        west, south, east, north = made_sets.box(shape)
        return (east - west) * (north - south)

    return max(range(len(set_.shapes)), key=lambda row: reach(set_.shapes[row]))


def _with_gap(set_):
    """A hole of 2 m in the middle of an edge of 20 m or so of the widest polygon, a step inwards."""
    import shapely

    row = _largest(set_)
    shape = set_.shapes[row]
    area = shapely.Polygon(shape[0], shape[1:])
    place = area.representative_point()
    hole = square(place.x, place.y, 2)[0][::-1]
    return set_.with_shape(row, [*shape, hole])


def _hole_turned(set_):
    """A polygon with a hole that a further row fills; the hole runs like an outer ring."""
    made = _with_gap(set_)
    row = _largest(set_)
    shape = made.shapes[row]
    filled = made.with_row([shape[-1][::-1]], "    0.00")
    return filled.with_shape(row, [*shape[:-1], shape[-1][::-1]])


TEXT = Column("NOTE", "C", 10, 0)
OTHER = Column("DOSE_FLOZ")

# What is wrong -> (rule, what is done to the set).
SETS = {
    # the .shp
    "another version": ("version", at(".shp", 28, "<i", 1001)),
    "a length that is not so": ("length", longer_by_words),
    "polygons with heights": ("kind", at(".shp", 32, "<i", 15)),
    "a record with heights": ("kind", at(".shp", 108, "<i", 15)),
    "bounds of another field": ("file_box", at(".shp", 36, "<d", -95.0)),
    "bounds of another polygon": ("record_box", at(".shp", 112, "<d", -95.0)),
    "records numbered from 0": ("record_number", at(".shp", 100, ">i", 0)),
    "not a shapefile": ("file_code", at(".shp", 0, ">i", 9995)),
    "an index that is none": ("file_code", at(".shx", 0, ">i", 9995)),
    "half a .shp": ("cut_short", cut(".shp", 300)),
    "more parts than points": ("record_broken", at(".shp", 144, "<i", 100_000)),
    # the .shx
    "an index in another order": ("index_offset", swap_rows),
    "an index with a record less": ("index_count", one_index_less),
    "half a .shx": ("cut_short", cut(".shx", 105)),
    # the .dbf
    "a row less": ("row_count", one_row_less),
    "a deleted row": ("deleted_row", lambda shp: at(".dbf", _row(shp, 2), "c", b"*")(shp)),
    "an 11-letter column": ("column_too_long", at(".dbf", 32, "11s", b"RATE_GPAACR")),
    "a column in small letters": ("column_name", at(".dbf", 32, "11s", b"rate_gpa\0\0\0")),
    "a column twice": ("column_twice", column((made_sets.RATE, same), (made_sets.RATE, same))),
    "a column of floats": ("column_kind", at(".dbf", 43, "c", b"F")),
    "a column of bytes": ("column_kind", at(".dbf", 43, "c", b"B")),
    "decimals that do not fit": ("column_width", at(".dbf", 49, "B", 8)),
    "a table of another age": ("table_version", at(".dbf", 0, "B", 0x8B)),
    "a header that is longer": ("table_length", longer_header),
    "no end of the columns": ("table_broken", at(".dbf", 10, "<H", 1)),
    "half a .dbf": ("cut_short", cut(".dbf", 80)),
    "a blank rate": ("no_rate", table(lambda set_: set_.with_text(0, "        "))),
    "a rate of stars": ("no_rate", table(lambda set_: set_.with_text(1, "********"))),
    "a rate of words": ("no_rate", table(lambda set_: set_.with_text(0, "fifteen"))),
    "a rate below 0": ("negative_rate", table(lambda set_: set_.with_text(0, "  -15.00"))),
    "a rate x 100": ("implausible_rate", table(lambda set_: set_.with_text(0, " 1500.00"))),
    "L/ha called gal/ac": ("implausible_rate", table(lambda set_: set_.with_text(0, "  140.31"))),
    "four rates": ("many_rates", table(four_rates)),
    "a rate with four decimals": ("decimals", table(lambda set_: set_.with_text(0, " 15.0001"))),
    "everything off": ("all_off", rates("    0.00")),
    "no number at all": ("no_rate_column", column((TEXT, lambda _: "fifteen"))),
    "a second number": ("several_numbers", column((made_sets.RATE, same), (OTHER, same))),
    "a second number that is blank": (
        "no_number",
        column((made_sets.RATE, same), (OTHER, lambda _: "        ")),
    ),
    "a text beside the rate": ("other_columns", column((made_sets.RATE, same), (TEXT, lambda _: "zone"))),
    "a text with letters of its own": (
        "not_ascii",
        column((made_sets.RATE, same), (TEXT, lambda _: "Señor")),
    ),
    "a rate without a unit": ("unit_not_named", column((Column("RATE"), same))),
    # .prj and .cpg
    "metres of UTM": ("wrong_crs", text(".prj", UTM_15)),
    "an older datum": ("wrong_crs", text(".prj", NAD_27)),
    "WGS 84 in the newer form": ("newer_form", text(".prj", WKT_2)),
    "no WKT": ("prj_broken", text(".prj", "EPSG:4326")),
    "half a .prj": ("prj_broken", cut(".prj", 60)),
    "unknown letters": ("letters", text(".cpg", "EBCDIC-CP-US")),
    # the set
    "no .prj": ("missing", gone(".prj")),
    "no .shx": ("missing", gone(".shx")),
    "no .dbf": ("missing", gone(".dbf")),
    "no .shp": ("missing", gone(".shp")),
    "no .cpg": ("no_cpg", gone(".cpg")),
    "capitals differ": ("stems_differ", renamed("p1_0706", (".dbf",))),
    "a name of 17 letters": ("stem_long", renamed("FUNGICIDE_PASS_01")),
    "a name with a blank": ("stem_odd", renamed("P1 07")),
    "120 polygons": ("many_polygons", table(in_columns)),
    "300 kB": ("large_shp", table(dense)),
    # the polygons
    "no row": ("no_polygon", table(lambda set_: replace(set_, shapes=[], texts=[]))),
    "a row without shape": ("no_shape", table(lambda set_: set_.with_shape(0, None))),
    "a coordinate that is no number": (
        "not_finite",
        lambda shp: at(".shp", _first_point(shp), "<d", float("nan"))(shp),
    ),
    "metres for degrees": (
        "out_of_range",
        every(lambda x, y: (270_000 + (x + 95) * 80_000, y * 111_000)),
    ),
    "latitude first": ("swapped", every(lambda x, y: (y, x))),
    "round the earth": (
        "antimeridian",
        table(
            lambda set_: set_.with_shape(
                0, [[(179.9, 44), (179.9, 45), (-179.9, 45), (-179.9, 44), (179.9, 44)]]
            )
        ),
    ),
    "a ring of three points": (
        "ring_too_short",
        table(lambda set_: set_.with_shape(0, [[*set_.shapes[0][0][:2], set_.shapes[0][0][0]]])),
    ),
    "an open ring": (
        "not_closed",
        table(lambda set_: set_.with_shape(0, [set_.shapes[0][0][:-1], *set_.shapes[0][1:]])),
    ),
    "a ring the wrong way round": (
        "ring_order",
        table(lambda set_: set_.with_shape(1, [ring[::-1] for ring in set_.shapes[1]])),
    ),
    "one hole the wrong way round": ("ring_order", table(lambda set_: _hole_turned(set_))),
    "two polygons in a row": (
        "several_parts",
        table(lambda set_: replace(set_, shapes=_joined(set_), texts=set_.texts[:-1])),
    ),
    "a polygon without ground": (
        "zero_area",
        table(lambda set_: set_.with_row([[inside(set_)] * 4], "    0.00")),
    ),
    "a bow tie": ("not_valid", table(lambda set_: set_.with_shape(0, bow_tie(set_.shapes[0])))),
    "a polygon twice": (
        "duplicate",
        table(lambda set_: set_.with_row(set_.shapes[0], *set_.texts[0])),
    ),
    "an overlap": (
        "overlap",
        table(lambda set_: set_.with_row(square(*inside(set_), 30), "    0.00")),
    ),
    "a polygon outside the field": (
        "outside",
        table(lambda set_: set_.with_row(square(inside(set_)[0] + 0.05, inside(set_)[1], 30), "   15.00")),
    ),
    "the map of another field": ("outside", every(lambda x, y: (x + 0.3, y))),
    "a gap": ("gap", table(lambda set_: _with_gap(set_))),
    "a polygon missing at the edge": (
        "not_covered",
        table(lambda set_: replace(set_, shapes=set_.shapes[1:], texts=set_.texts[1:])),
    ),
    "a polygon of half a square metre": (
        "too_small",
        table(lambda set_: set_.with_row(square(*inside(set_), 0.7), "    0.00")),
    ),
}
