"""TASKDATA folders: a good one gives no finding, and each seeded fault is told by its rule."""

import struct
from xml.etree.ElementTree import Element, SubElement

import numpy as np
import pytest
from made_layers import gpkg_bytes
from made_taskdata import (
    CELLS,
    EAST,
    FIELD,
    RAW_20,
    TOP,
    WEST,
    add,
    add_polygon,
    codes,
    ground,
    with_grid,
    with_polygons,
)
from shapely.affinity import translate

from zoning.file_checks import taskdata
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.place import on_disk
from zoning.file_checks.taskdata import form, grid_rules, rules
from zoning.file_checks.taskdata import ground as on_the_ground
from zoning.file_checks.taskdata.read import parse

ZONES = ("0", "1", "2")


def found(folder, tmp_path, field=None):
    """Write a folder, check it, and give what was found."""
    folder.write(tmp_path)
    place = on_disk(tmp_path)
    findings = []
    for names in taskdata.groups(place):
        try:
            findings += taskdata.check(place, names, field)
        except UnreadableError as fault:
            findings.append(fault.found(place.told(names[0])))
    return findings


def names_of(findings):
    return {one.code.removeprefix("file_checks.") for one in findings}


@pytest.mark.parametrize("make", [with_polygons, lambda: with_grid(1), lambda: with_grid(2)])
@pytest.mark.parametrize("field", [None, FIELD])
def test_a_good_folder_gives_no_finding(make, field, tmp_path):
    assert found(make(), tmp_path, field) == []


def task(folder):
    return folder.one("TSK")


def rate(folder, code="2"):
    return folder.one("TSK", f"TZN={code}", "PDV")


def ring_of(folder, code="2"):
    return folder.one("TSK", f"TZN={code}", "PLN", "LSG")


def set_all(nodes, **attributes):
    for node in nodes:
        node.attrib.update(attributes)


def replace_shape(folder, code, shape):
    zone = folder.one("TSK", f"TZN={code}")
    zone.remove(zone.find("PLN"))
    add_polygon(zone, shape, "2")


def move_to(points, north, east):
    for point in points:
        lat, lon = point.get("C"), point.get("D")
        point.set("C", north(lat, lon))
        point.set("D", east(lat, lon))


def swap(folder):
    move_to(folder.root.iter("PNT"), lambda lat, lon: lon, lambda lat, lon: lat)


def scale(folder):
    whole = lambda lat, lon: str(round(float(lat) * 1e7))
    move_to(folder.root.iter("PNT"), whole, lambda lat, lon: str(round(float(lon) * 1e7)))


def grid_cells(folder, cells):
    folder.files["GRD00001.BIN"] = np.ascontiguousarray(cells).tobytes()
    folder.one("TSK", "GRD").set("H", str(len(folder.files["GRD00001.BIN"])))


def values(folder, factor):
    raw = np.frombuffer(folder.files["GRD00001.BIN"], dtype="<i4").reshape(CELLS, CELLS)
    grid_cells(folder, (raw * factor).astype("<i4"))


def upside_down(folder):
    grid_cells(folder, np.flipud(codes()))


def upside_down_values(folder):
    raw = np.frombuffer(folder.files["GRD00001.BIN"], dtype="<i4").reshape(CELLS, CELLS)
    grid_cells(folder, np.flipud(raw))


def second_task_polygon(folder):
    add_polygon(folder.one("TSK", "TZN=2"), TOP, "2")


def spray_beside(folder):
    cells = codes()
    cells[:] = 2
    grid_cells(folder, cells)


def extra_shell(folder):
    polygon = folder.one("TSK", "TZN=2", "PLN")
    other = add(polygon, "LSG", A="1")
    for point in ring_of(folder, "1"):
        other.append(point)


def overlapping(folder):
    replace_shape(folder, "2", ground((0, 0), (170, 0), (170, 150), (0, 150)))


def with_gap(folder):
    hole = ground((0, 0), (150, 0), (150, 150), (0, 150)).difference(
        ground((60, 60), (90, 60), (90, 90), (60, 90))
    )
    replace_shape(folder, "2", hole)


def bow_tie(folder):
    replace_shape(folder, "2", ground((0, 0), (150, 0), (50, 150), (150, 100)))


def drop(*path, name):
    def edit(folder):
        del folder.one(*path).attrib[name]

    return edit


def put(*path, **attributes):
    def edit(folder):
        folder.one(*path).attrib.update(attributes)

    return edit


def remove(*path):
    def edit(folder):
        folder.one(*path[:-1]).remove(folder.one(*path))

    return edit


def remove_zones(folder):
    for zone in list(task(folder).findall("TZN")):
        task(folder).remove(zone)


def text(change):
    def edit(folder):
        folder.text = change

    return edit


def name(folder_name="TASKDATA", xml="TASKDATA.XML"):
    def edit(folder):
        folder.name, folder.xml_name = folder_name, xml

    return edit


def rename_cells(to):
    def edit(folder):
        folder.files[to] = folder.files.pop("GRD00001.BIN")

    return edit


def with_entity(made):
    return b'<?xml version="1.0"?>\n<!DOCTYPE x [<!ENTITY a "aaaa">]>\n' + made


POLYGONS = {
    "an XML cut in the middle": (text(lambda made: made[: len(made) // 2]), "iso_not_xml"),
    "an encoding that nobody knows": (
        text(lambda made: b'<?xml version="1.0" encoding="klingon"?>' + made),
        "iso_not_xml",
    ),
    "a DOCTYPE with an entity": (
        text(with_entity),
        "iso_own_entities",
    ),
    "a DOCTYPE that fetches another file": (
        text(lambda made: b'<!DOCTYPE ISO11783_TaskData SYSTEM "file:///etc/hosts">' + made),
        "iso_own_entities",
    ),
    "elements inside each other without end": (
        text(lambda made: b"<ISO11783_TaskData>" + b"<TSK>" * 99 + b"</TSK>" * 99 + b"</ISO11783_TaskData>"),
        "iso_too_much",
    ),
    "another root": (text(lambda made: b"<kml/>"), "iso_other_root"),
    "small letters in the file's name": (name(xml="taskdata.xml"), "iso_file_name"),
    "another folder": (name(folder_name="Prescription"), "iso_folder_name"),
    "version 3": (put(VersionMajor="3"), "iso_version_three"),
    "version 12": (put(VersionMajor="12"), "iso_bad_whole"),
    "written by a machine": (put(DataTransferOrigin="2"), "iso_from_machine"),
    "no software version": (drop(name="ManagementSoftwareVersion"), "iso_missing"),
    "no field area": (drop("PFD", name="D"), "iso_missing"),
    "no status": (drop("TSK", name="G"), "iso_missing"),
    "an element of another standard": (
        lambda folder: SubElement(task(folder), "RATE"),
        "iso_unknown_element",
    ),
    "a polygon right in the task": (lambda folder: add_polygon(task(folder), TOP, "2"), "iso_misplaced"),
    "an attribute in small letters": (put("TSK", b="pass"), "iso_unknown_attribute"),
    "an id without number": (put("CTR", A="CTR"), "iso_bad_id"),
    "an id of another element": (put("PDT", A="PRD1"), "iso_bad_id"),
    "an id of 15 characters": (put("CTR", A="CTR123456789012"), "iso_bad_id"),
    "a name of 33 characters": (put("PFD", C="x" * 33), "iso_long_text"),
    "a zone code of 255": (put("TSK", "TZN=1", A="255"), "iso_bad_whole"),
    "an area with decimals": (put("PFD", D="67500.5"), "iso_bad_whole"),
    "a value beyond int32": (lambda folder: rate(folder).set("B", "4000000000"), "iso_bad_whole"),
    "a rate with a decimal point": (lambda folder: rate(folder).set("B", "187.07"), "iso_bad_whole"),
    "a scale with an exponent": (put("VPN", C="1.0691e-5"), "iso_bad_decimal"),
    "a coordinate with a comma": (
        lambda folder: ring_of(folder)[1].set("C", "42,0001"),
        "iso_bad_decimal",
    ),
    "a coordinate with 12 decimals": (
        lambda folder: ring_of(folder)[1].set("C", "42.000000000001"),
        "iso_many_decimals",
    ),
    "a dictionary entry of one digit": (lambda folder: rate(folder).set("A", "1"), "iso_bad_hex"),
    "coordinates as whole numbers": (scale, "iso_scaled"),
    "one id twice": (lambda folder: add(folder.root, "CTR", A="CTR1", B="Other"), "iso_id_twice"),
    "a dangling presentation": (lambda folder: rate(folder).set("E", "VPN9"), "iso_dangling"),
    "a dangling product": (lambda folder: rate(folder).set("C", "PDT9"), "iso_dangling"),
    "a dangling customer of the farm": (put("FRM", I="CTR9"), "iso_dangling"),
    "a dangling farm of the field": (put("PFD", F="FRM9"), "iso_dangling"),
    "a dangling field of the task": (put("TSK", E="PFD9"), "iso_dangling"),
    "a negative id": (
        lambda folder: [
            folder.one("PDT").set("A", "PDT-1"),
            *(rate(folder, z).set("C", "PDT-1") for z in ZONES),
        ],
        "iso_id_of_terminal",
    ),
    "a customer without a name": (drop("CTR", name="B"), "iso_nameless"),
    "no task": (remove("TSK"), "iso_no_task"),
    "no customer in the task": (drop("TSK", name="C"), "iso_no_link"),
    "no farm in the task": (drop("TSK", name="D"), "iso_no_link"),
    "a completed task": (put("TSK", G="4"), "iso_not_planned"),
    "a task without zones": (remove_zones, "iso_no_zones"),
    "two zones of one code": (put("TSK", "TZN=1", A="2"), "iso_code_twice"),
    "no zone where the position is lost": (drop("TSK", name="I"), "iso_no_default"),
    "a code outside the field without a zone": (put("TSK", J="9"), "iso_no_such_zone"),
    "a code by default without a zone": (put("TSK", H="9"), "iso_no_such_zone"),
    "20 gal/ac outside the field": (put("TSK", J="2"), "iso_rate_outside"),
    "a zone without rate": (remove("TSK", "TZN=1", "PDV"), "iso_zone_without_rate"),
    "the entry for what was applied": (lambda folder: rate(folder).set("A", "0002"), "iso_entry_actual"),
    "the entry for the rate by default": (lambda folder: rate(folder).set("A", "0003"), "iso_entry_bounds"),
    "the entry for the greatest rate": (lambda folder: rate(folder).set("A", "0005"), "iso_entry_bounds"),
    "the entry for weight": (lambda folder: rate(folder).set("A", "0006"), "iso_entry_mass"),
    "the entry for weight applied": (lambda folder: rate(folder).set("A", "0007"), "iso_entry_mass"),
    "the entry for count": (lambda folder: rate(folder).set("A", "000B"), "iso_entry_count"),
    "the entry for a total": (lambda folder: rate(folder).set("A", "0050"), "iso_entry_other"),
    "a rate below 0": (lambda folder: rate(folder).set("B", "-1"), "iso_negative"),
    "hundredths of L/ha": (lambda folder: rate(folder).set("B", "18708"), "iso_rate_times_100"),
    "L/ha as they are": (lambda folder: rate(folder).set("B", "187"), "iso_rate_not_scaled"),
    "gal/ac as they are": (lambda folder: rate(folder).set("B", "20"), "iso_rate_not_scaled"),
    "a hundred times too much": (lambda folder: rate(folder).set("B", "187079100"), "iso_rate_unlikely"),
    "a unit that we do not know": (put("VPN", E="buckets"), "iso_unit_unknown"),
    "the scale of L/ha with gal/ac": (put("VPN", C="0.0001"), "iso_shown_otherwise"),
    "an offset": (put("VPN", B="100000"), "iso_shown_otherwise"),
    "a boundary as a zone": (put("TSK", "TZN=2", "PLN", A="1"), "iso_polygon_type"),
    "a zone as a boundary": (put("PFD", "PLN", A="2"), "iso_no_boundary"),
    "a tramline as a ring": (put("TSK", "TZN=2", "PLN", "LSG", A="3"), "iso_ring_type"),
    "two outer rings in a polygon": (extra_shell, "iso_exteriors"),
    "a hole without an outer ring": (put("TSK", "TZN=2", "PLN", "LSG", A="2"), "iso_exteriors"),
    "a flag as a corner": (lambda folder: ring_of(folder)[1].set("A", "1"), "iso_point_type"),
    "the area in hectares": (put("PFD", D="7"), "iso_area"),
    "a polygon's area in hectares": (put("TSK", "TZN=2", "PLN", C="2"), "iso_polygon_area"),
    "nothing sprayed": (lambda folder: [rate(folder, z).set("B", "0") for z in ZONES], "all_off"),
    "the area 2 % off": (put("PFD", D="68850"), "iso_area"),
    "rates without polygons": (
        lambda folder: [remove("TSK", f"TZN={code}", "PLN")(folder) for code in ZONES],
        "iso_no_place",
    ),
    "north and east swapped": (swap, "swapped"),
    "an open ring": (lambda folder: ring_of(folder).remove(ring_of(folder)[-1]), "not_closed"),
    "a ring of three points": (
        lambda folder: [ring_of(folder).remove(ring_of(folder)[1]) for _ in range(2)],
        "ring_too_short",
    ),
    "a ring that crosses itself": (bow_tie, "not_valid"),
    "zones that overlap": (overlapping, "overlap"),
    "one zone twice": (lambda folder: add_polygon(folder.one("TSK", "TZN=1"), EAST, "2"), "duplicate"),
    "a gap between zones": (with_gap, "gap"),
    "a zone left out": (remove("TSK", "TZN=0", "PLN"), "not_covered"),
    "a zone beside the field": (
        lambda folder: replace_shape(folder, "1", translate(EAST, 0.001, 0)),
        "outside",
    ),
}
CODES = {
    "a grid and polygons": (
        lambda folder: add_polygon(folder.one("TSK", "TZN=0"), TOP, "2"),
        "iso_grid_and_polygons",
    ),
    "two grids": (
        lambda folder: SubElement(task(folder), "GRD", folder.one("TSK", "GRD").attrib),
        "iso_several_grids",
    ),
    "a grid whose file has an ending": (put("TSK", "GRD", G="GRD00001.BIN"), "iso_bad_file_name"),
    "a grid of three digits": (put("TSK", "GRD", G="GRD001"), "iso_bad_file_name"),
    "no file of cells": (lambda folder: folder.files.clear(), "iso_grid_no_file"),
    "small letters in the name of the cells": (rename_cells("grd00001.bin"), "iso_grid_file_name"),
    "cells that belong to no task": (
        lambda folder: folder.files.update({"GRD00002.BIN": b"\0"}),
        "iso_grid_unused",
    ),
    "a row too few": (lambda folder: grid_cells(folder, codes()[1:]), "iso_grid_size"),
    "cells cut": (
        lambda folder: folder.files.update({"GRD00001.BIN": codes().tobytes()[:-1]}),
        "iso_grid_length",
    ),
    "a code without a zone": (lambda folder: grid_cells(folder, codes() + 1), "iso_grid_code"),
    "cells a hand wide": (put("TSK", "GRD", C="0.000001", D="0.000001"), "iso_cell_size"),
    "a cell of 0.1 degrees": (put("TSK", "GRD", C="0.1", D="0.1"), "iso_cell_size"),
    "a cell of 2 degrees": (put("TSK", "GRD", C="2"), "iso_bad_decimal"),
    "as many degrees east as north": (
        lambda folder: folder.one("TSK", "GRD").set("D", folder.one("TSK", "GRD").get("C")),
        "iso_cell_not_square",
    ),
    "north and east of the corner swapped": (
        lambda folder: folder.one("TSK", "GRD").attrib.update(A=f"{-WEST - 90:.9f}", B="42.000000000"),
        "iso_grid_off_field",
    ),
    "a grid of half the field": (
        lambda folder: [grid_cells(folder, codes()[:20]), put("TSK", "GRD", F="20")(folder)],
        "iso_grid_short",
    ),
    "rows upside down": (upside_down, "iso_upside_down"),
    "the whole grid sprayed": (spray_beside, "iso_sprayed_beside"),
    "no XML": (name(xml=""), "iso_no_xml"),
}
VALUES = {
    "values without a zone that says of what": (drop("TSK", "GRD", name="J"), "iso_grid_no_zone"),
    "values of weight": (lambda folder: rate(folder).set("A", "0006"), "iso_grid_no_zone"),
    "a cell below 0": (lambda folder: values(folder, -1), "iso_cell_negative"),
    "cells in hundredths": (
        lambda folder: grid_cells(folder, np.where(codes() > 0, 18708, 0).astype("<i4")),
        "iso_cell_times_100",
    ),
    "cells in L/ha": (
        lambda folder: grid_cells(folder, np.where(codes() > 0, 187, 0).astype("<i4")),
        "iso_cell_not_scaled",
    ),
    "cells with the other byte first": (
        lambda folder: grid_cells(folder, np.where(codes() > 0, RAW_20, 0).astype(">i4")),
        "iso_cell_negative",
    ),
    "cells ten times too much": (lambda folder: values(folder, 10), "iso_cell_unlikely"),
    "values of one byte": (lambda folder: grid_cells(folder, codes()), "iso_grid_size"),
    "rows of values upside down": (upside_down_values, "iso_upside_down"),
}
FAULTS = [
    *(pytest.param(with_polygons, *fault, id=told) for told, fault in POLYGONS.items()),
    *(pytest.param(lambda: with_grid(1), *fault, id=told) for told, fault in CODES.items()),
    *(pytest.param(lambda: with_grid(2), *fault, id=told) for told, fault in VALUES.items()),
]


@pytest.mark.parametrize(("make", "edit", "code"), FAULTS)
def test_a_seeded_fault_is_told(make, edit, code, tmp_path):
    folder = make()
    edit(folder)
    assert code in names_of(found(folder, tmp_path))


def test_a_boundary_of_another_field_is_told(tmp_path):
    assert names_of(found(with_polygons(), tmp_path, translate(FIELD, 0.002, 0))) == {"iso_other_field"}


def test_of_two_products_the_one_by_volume_is_read(tmp_path):
    # Zone 2 asks for a weight first and for the volume second; so do the cells.
    folder = with_grid(2)
    zone = folder.one("TSK", "TZN=2")
    zone.insert(0, Element("PDV", A="0006", B="500", C="PDT1"))
    raw = np.frombuffer(folder.files["GRD00001.BIN"], dtype="<i4").reshape(CELLS, CELLS)
    grid_cells(folder, np.stack([np.full_like(raw, 500), raw], axis=2))
    assert names_of(found(folder, tmp_path)) == {"iso_entry_mass"}


def test_rows_are_not_called_upside_down_where_turning_helps_little(tmp_path):
    # By hand: outside the field lie 15 x 15 cells, all sprayed; turned round 4 of their 15 rows would not be.
    folder = with_grid(1)
    cells = np.full_like(codes(), 2)
    cells[:4, 15:] = 0
    grid_cells(folder, cells)
    assert names_of(found(folder, tmp_path)) == {"iso_sprayed_beside"}


SQUARE = ground((0, 0), (300, 0), (300, 300), (0, 300))


def in_a_square(tmp_path, cells):
    """A grid over a square field, and beside it the GeoPackage of the pass: 20 gal/ac in the south."""
    folder = with_grid(1)
    boundary = folder.one("PFD")
    boundary.remove(boundary.find("PLN"))
    add_polygon(boundary, SQUARE, "1")
    boundary.set("D", "90000")
    grid_cells(folder, cells)
    south = ground((0, 0), (300, 0), (300, 150), (0, 150))
    shapes = ((1, south, 20.0), (2, SQUARE.difference(south), 0.0))
    tmp_path.mkdir(exist_ok=True)
    (tmp_path / "P1.gpkg").write_bytes(gpkg_bytes(shapes=shapes))
    return names_of(found(folder, tmp_path))


def test_rows_upside_down_in_a_square_field_are_told_by_the_map_beside(tmp_path):
    cells = np.zeros_like(codes())
    cells[:15] = 2
    assert in_a_square(tmp_path / "right", cells) == set()
    assert in_a_square(tmp_path / "turned", np.flipud(cells)) == {"iso_upside_down_on_map"}


def test_a_grid_that_is_not_the_map_beside_is_told(tmp_path):
    cells = np.zeros_like(codes())
    cells[:, :15] = 2
    assert in_a_square(tmp_path, cells) == {"iso_other_map"}


def test_every_rule_has_a_seeded_fault():
    tables = (form.RULES, rules.RULES, on_the_ground.RULES, grid_rules.RULES)
    known = {rule.name for table in tables for rule in table}
    seeded = {code for table in (POLYGONS, CODES, VALUES) for _, code in table.values()}
    # tests of their own, above
    assert known - seeded == {"iso_other_field", "iso_upside_down_on_map", "iso_other_map"}
    assert len(POLYGONS) + len(CODES) + len(VALUES) >= 100


def test_a_finding_says_line_and_mend(tmp_path):
    folder = with_polygons()
    rate(folder).set("B", "18708")
    (one,) = [one for one in found(folder, tmp_path) if one.code.endswith("times_100")]
    assert one.severity == "refused"
    assert "line 1" in one.text
    assert "10,000 times the L/ha" in one.mend


def test_by_hand_the_raw_value_of_a_volume():
    # 20 gal/ac = 187.07912 L/ha = 18707.912 mm3/m2 = 1,870,791 steps of 0.01;
    # as int32, least byte first, c78b1c00
    assert struct.pack("<i", RAW_20).hex() == "c78b1c00"
    assert rules.slip(RAW_20) is None
    assert rules.slip(RAW_20 / 100) == "iso_rate_times_100"


def test_the_skeleton_that_a_person_would_write_is_read():
    root = parse(b'<ISO11783_TaskData VersionMajor="4">\n<TSK A="TSK1"/>\n</ISO11783_TaskData>')
    assert [(node.tag, node.line) for node in root.all()] == [("ISO11783_TaskData", 1), ("TSK", 2)]
