"""Every byte of the shapefile sets, by the published description and by no library.

ESRI Shapefile Technical Description, July 1998: main file header (table 1), record headers (table 2), polygon
record (table 6), index file (tables 7 and 8). dBASE III table: header of 32 bytes, 32 for each column, 0x0D.
"""

import struct

import pytest
from made_plans import Made, made_plan, smooth_field
from pyproj import Geod

from zoning.prescription import shapefile
from zoning.prescription.of_a_pass import operator

GEOD = Geod(ellps="WGS84")
M2_PER_AC = 4046.8564224


@pytest.fixture(scope="module", params=["us", "metric"])
def sets(request, tmp_path_factory):
    """Each set: its files, and the plan."""
    labels, blocks = smooth_field(17, shape=(40, 39), hole=True, blocks=2)
    plan = made_plan(
        Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2}, simplify_m=15,
             units=request.param)
    )  # fmt: skip
    folder = tmp_path_factory.mktemp("sets")
    names = [*shapefile.write(plan, folder), *operator.write(plan, folder)]
    stems = [folder / name for name in names if name.endswith(".shp")]
    assert len(stems) == 3
    found = [{suffix: stem.with_suffix(suffix).read_bytes() for suffix in (".shp", ".shx", ".dbf")}
             for stem in stems]  # fmt: skip
    return plan, found


def header(raw):
    """What both headers say: length in bytes, and west, south, east, north."""
    assert struct.unpack_from(">i", raw, 0) == (9994,)
    assert raw[4:24] == bytes(20)
    (words,) = struct.unpack_from(">i", raw, 24)
    assert struct.unpack_from("<ii", raw, 28) == (1000, 5)
    assert raw[68:100] == bytes(32)  # no z, no m
    return words * 2, struct.unpack_from("<4d", raw, 36)


def records(raw):
    """Offset and content of every record of a .shp; their numbers count from 1."""
    at, number = 100, 1
    while at < len(raw):
        assert struct.unpack_from(">i", raw, at) == (number,)
        (words,) = struct.unpack_from(">i", raw, at + 4)
        yield at, raw[at + 8 : at + 8 + 2 * words]
        at, number = at + 8 + 2 * words, number + 1
    assert at == len(raw)


def rings(content):
    """Rings of a polygon record; its box must be theirs."""
    kind, west, south, east, north, parts, points = struct.unpack_from("<i4d2i", content)
    assert kind == 5
    starts = struct.unpack_from(f"<{parts}i", content, 44)
    assert starts[0] == 0
    corners = [struct.unpack_from("<2d", content, 44 + 4 * parts + 16 * one) for one in range(points)]
    assert len(content) == 44 + 4 * parts + 16 * points
    xs, ys = zip(*corners, strict=True)
    assert (west, south, east, north) == (min(xs), min(ys), max(xs), max(ys))
    return [corners[a:b] for a, b in zip(starts, [*starts[1:], points], strict=True)]


def test_published_headers_and_boxes(sets):
    _, found = sets
    for files in found:
        shapes = [
            corner for _, content in records(files[".shp"]) for ring in rings(content) for corner in ring
        ]
        xs, ys = zip(*shapes, strict=True)
        for suffix in (".shp", ".shx"):
            length, box = header(files[suffix])
            assert length == len(files[suffix])
            assert box == (min(xs), min(ys), max(xs), max(ys))


def test_published_index_leads_to_every_record(sets):
    _, found = sets
    for files in found:
        index = files[".shx"]
        places = [(at // 2, len(content) // 2) for at, content in records(files[".shp"])]
        assert [struct.unpack_from(">2i", index, at) for at in range(100, len(index), 8)] == places


def test_published_rings_close_and_run_clockwise_around_their_ground(sets):
    plan, found = sets
    for files in found:
        whole_m2 = 0.0
        for _, content in records(files[".shp"]):
            exterior, *holes = rings(content)
            for ring in (exterior, *holes):
                assert ring[0] == ring[-1]
                assert len(ring) >= 4
                assert len(set(ring)) == len(ring) - 1
            signed = [GEOD.polygon_area_perimeter(*zip(*ring, strict=True))[0] for ring in (exterior, *holes)]
            assert signed[0] < 0, "the exterior runs clockwise"
            assert all(one > 0 for one in signed[1:]), "a hole runs the other way"
            whole_m2 -= sum(signed)
        assert whole_m2 / M2_PER_AC == pytest.approx(plan.area_ac, rel=1e-4)
    assert any(len(rings(content)) > 1 for files in found for _, content in records(files[".shp"]))


def test_published_table_has_a_row_for_every_record(sets):
    plan, found = sets
    for files in found:
        raw = files[".dbf"]
        assert raw[0] == 3  # dBASE III without a memo
        assert (raw[1] + 1900, raw[2], raw[3]) == (plan.today.year, plan.today.month, plan.today.day)
        rows, head, width = struct.unpack_from("<IHH", raw, 4)
        assert rows == len(list(records(files[".shp"])))
        columns = [raw[at : at + 32] for at in range(32, head - 1, 32)]
        assert raw[head - 1] == 0x0D
        assert width == 1 + sum(column[16] for column in columns)
        names = [column[:11].rstrip(b"\0").decode("ascii") for column in columns]
        assert all(len(name) <= 10 and name == name.upper() for name in names)
        assert len(set(names)) == len(names)
        assert {chr(column[11]) for column in columns} <= {"N", "C"}
        body = raw[head:].rstrip(b"\x1a")
        assert len(body) == rows * width
        for at in range(0, len(body), width):
            assert body[at] == 0x20  # not deleted
            place = at + 1
            for column in columns:
                cell = body[place : place + column[16]].decode("ascii")
                place += column[16]
                if chr(column[11]) == "N":
                    assert float(cell) == float(cell)  # a figure stands there, and no NaN
                    if column[17]:
                        assert len(cell.strip().partition(".")[2]) == column[17]
                else:
                    assert cell.strip()
