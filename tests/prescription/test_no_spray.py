"""Ground that is never sprayed, in every file that a plan is written in."""

from dataclasses import replace

import fiona
import numpy as np
import pytest
import shapefile as pyshp
import shapely
from made_no_spray import with_no_spray
from made_plans import Made, acres, made_plan, outlines_m, smooth_field, to_lonlat
from shapely.affinity import translate
from shapely.geometry import shape

from zoning.inputs.ground.corners import with_shared_corners
from zoning.offers.pass_maps import with_maps
from zoning.plan import PlanTreatment
from zoning.prescription import geopackage, shapefile
from zoning.prescription.as_json.plan_json import as_object, sums_of
from zoning.prescription.formats import FORMATS, write_all
from zoning.prescription.of_a_pass import operator
from zoning.prescription.of_a_pass.each_pass import stem
from zoning.prescription.polygons import check_cover, edges_match

# Zone 1 is sprayed, 2 is skipped; 3 is a pond in two pieces inside the field, 4 a yard at its rim.
LABELS = [
    [1, 1, 1, 2, 2, 4],
    [1, 3, 1, 2, 2, 4],
    [1, 1, 1, 2, 3, 2],
    [1, 1, 1, 2, 2, 2],
]
KINDS = {3: "dead ground", 4: "setback"}
CELL_AC = 1600 / 4046.8564224  # by hand: 40 m x 40 m; true to 0.1 % on the ellipsoid


def plan_of(kinds=KINDS, **wanted):
    return with_no_spray(made_plan(Made(labels=LABELS, **({"pass_of_zone": {1: 1}} | wanted))), kinds)


def rows_of(path, layer=None):
    with fiona.open(path, layer=layer) as file:
        return [(shape(feature.geometry), dict(feature.properties)) for feature in file]


def same_ground(one, other) -> bool:
    return shapely.union_all(one).symmetric_difference(shapely.union_all(other)).area < 1e-9 * other[0].area


# -- the prescription ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("units", "area", "net", "price"), [
    ("us", "AREA_AC", "NET_USD_AC", "BE_USD_BU"),
    ("metric", "AREA_HA", "NET_USD_HA", "BE_USD_T"),
])  # fmt: skip
def test_by_hand_a_row_for_each_polygon_after_the_zones(tmp_path, units, area, net, price):
    plan = plan_of(units=units)
    shapefile.write(plan, tmp_path)
    with pyshp.Reader(str(tmp_path / "prescription.shp")) as reader:
        rows = [record.as_dict() for record in reader.records()]
        assert [field[0] for field in reader.fields[1:]] == [
            column.name for column in shapefile.columns(units == "metric")
        ]
    # by hand: the pond is two cells that do not touch, the yard is two that do
    assert [row["KIND"] for row in rows] == ["ZONE", "ZONE", "DEAD", "DEAD", "SETBACK"]
    cell = CELL_AC if units == "us" else 0.16
    assert [row[area] for row in rows[2:]] == pytest.approx([cell, cell, 2 * cell], rel=2e-3)
    for row in rows[2:]:
        assert all(value is not None and value != "" for value in row.values())
        assert (row["ZONE"], row["BLOCK"], row["ACTION"], row["PASS"]) == (0, "-", "SKIP", 0)
        assert {row[name] for name in row if name.startswith(("SPRAY_", "R3_", "CLOSES"))} == {"-"}
        assert (row.get("RATE_GPA", row.get("RATE_LHA")), row["P_PAYS"], row[net]) == (0, 0, 0)
        assert row[price] == 9999.0  # as a zone that no pass can reach


def test_the_prescription_covers_the_field_and_sprays_what_the_plan_does(tmp_path):
    plan = plan_of()
    shapefile.write(plan, tmp_path)
    rows = rows_of(tmp_path / "prescription.shp")
    polygons = [polygon for polygon, _ in rows]
    assert shapely.coverage_is_valid(polygons)
    assert same_ground(polygons, [plan.boundary])
    assert sum(row["AREA_AC"] for _, row in rows) == pytest.approx(plan.area_ac, rel=1e-4)
    gallons = sum(acres(polygon) * row["RATE_GPA"] for polygon, row in rows)
    assert gallons == pytest.approx(plan.totals.carrier_gal, rel=1e-4)


def test_written_also_when_all_is_skipped(tmp_path):
    shapefile.write(plan_of(pass_of_zone={}), tmp_path)
    kinds = [row["KIND"] for _, row in rows_of(tmp_path / "prescription.shp")]
    assert kinds.count("SETBACK") == 1
    assert kinds.count("DEAD") == 2


# -- the operator's file ------------------------------------------------------------------------------------


def gallons_of(rows) -> float:
    return sum(acres(polygon) * row["RATE_GPA"] for polygon, row in rows)


def test_the_operators_file_covers_the_field_with_0_on_no_spray_ground(tmp_path):
    plan = plan_of(pass_of_zone={1: 1, 2: 2})
    operator.write(plan, tmp_path)
    for one in plan.passes:
        rows = rows_of(tmp_path / f"passes/P{one.number}/{stem(one)}.shp")
        polygons = [polygon for polygon, _ in rows]
        assert shapely.coverage_is_valid(polygons)
        assert same_ground(polygons, [plan.boundary])
        assert gallons_of(rows) == pytest.approx(one.area_ac * one.rate_gal_ac, rel=1e-4)
        for spot in plan.no_spray:
            for place in shapely.get_parts(spot.outline):
                inside = place.representative_point()
                assert [row["RATE_GPA"] for polygon, row in rows if polygon.contains(inside)] == [0.0]


def test_by_hand_no_spray_ground_beside_a_skipped_zone_is_one_polygon_with_it(tmp_path):
    # by hand: skipped zone 2 with its pond and the yard is one piece; the pond in zone 1 is another
    operator.write(plan_of(), tmp_path)
    rates = [row["RATE_GPA"] for _, row in rows_of(tmp_path / "passes/P1/P1_0706.shp")]
    assert sorted(rates) == [0.0, 0.0, 15.0]


# -- with swath cells, which end at no-spray ground in corners of their own ----------------------------------


CUTS_M = [47.3, 163.0, 201.7, 398.1, 505.5]
ON_OFF = [1, 0, 1, 0, 1, 0]


def slanted(seed, moved_m=0.0):
    """A field of rough outlines with swath cells; its straight edges bend in longitude and latitude."""
    plan, zones_m, spots_m = rough(seed)
    cells = [(translate(cell, 0.0, moved_m) if moved_m else cell, one) for cell, one in swaths(zones_m)]
    found = treated(plan, cells, spots_m)
    return found if moved_m else with_maps(found)  # what does not fit has no map


def rough(seed):
    """The plan of a field of rough outlines, and its zones and no-spray ground in metres."""
    labels, blocks = smooth_field(seed, 2, 3, (40, 39))
    made = Made(
        labels=labels, block_of_zone=blocks, cell_m=20, simplify_m=25, pass_of_zone={1: 1, 2: 1, 4: 1}
    )
    plan = with_no_spray(made_plan(made), {3: "dead ground", 5: "setback"})
    shapes = outlines_m(labels, made.cell_m, made.origin_m, made.simplify_m)
    return plan, [shapes[zone.zone] for zone in plan.zones], [shapes[3], shapes[5]]


def swaths(zones_m):
    """Cut the zones' ground by lines north-south, in metres from the west, into treated and untreated."""
    ground = shapely.coverage_union_all(zones_m)
    west, south, east, north = ground.bounds
    edges = [west - 1, *(west + cut for cut in CUTS_M), east + 1]
    lines = [shapely.LineString([(x, south - 1), (x, north + 1)]) for x in edges[1:-1]]
    noded = shapely.union_all([*lines, shapely.boundary(ground)])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    inner = shapely.point_on_surface(faces)
    faces, inner = faces[shapely.contains(ground, inner)], inner[shapely.contains(ground, inner)]
    label = np.array(ON_OFF)[np.searchsorted(edges, shapely.get_x(inner)) - 1]
    return [
        (cell, one)
        for one in (0, 1)
        for cell in shapely.get_parts(shapely.coverage_union_all(faces[label == one]))
    ]


def treated(plan, cells, spots_m):
    """The plan with these cells treated or not, and no-spray ground untreated, as the planner makes it."""
    outlines, spots = with_shared_corners([cell for cell, _ in cells], spots_m)
    pieces = [(outline, one) for outline, (_, one) in zip(outlines, cells, strict=True)]
    pieces += [(piece, 0) for spot in spots for piece in shapely.get_parts(spot)]
    parts = tuple((to_lonlat(piece, plan.epsg), one) for piece, one in pieces)
    treatment = PlanTreatment(
        heading_deg=0.0,
        heading_source="given",
        swath_m=10.0,
        step_m=10.0,
        least_run_m=10.0,
        treated_ac=sum(acres(part) for part, one in parts if one),
        differs_frac=0.1,
        parts=parts,
    )
    return replace(plan, treatment=treatment)


@pytest.mark.parametrize("seed", range(4))
def test_swath_cells_and_no_spray_ground_cover_the_field(tmp_path, seed):
    plan = slanted(seed)
    assert edges_match([zone.outline for zone in plan.zones] + [one.outline for one in plan.no_spray])
    names = write_all(plan, tmp_path)
    (name,) = (name for name in names if name.startswith("passes") and name.endswith(".shp"))
    rows = rows_of(tmp_path / name)
    polygons = [polygon for polygon, _ in rows]
    assert all(polygon.is_valid and polygon.geom_type == "Polygon" for polygon in polygons)
    assert edges_match(polygons)
    # a straight edge in the grid bends by some centimetres in degrees: that is all that may be lost
    assert sum(map(acres, polygons)) == pytest.approx(plan.area_ac, rel=1e-5)
    assert gallons_of(rows) == pytest.approx(15.0 * plan.treatment.treated_ac, rel=1e-5)
    untreated = [polygon for polygon, row in rows if row["RATE_GPA"] == 0]
    assert len(untreated) < sum(label == 0 for _, label in plan.treatment.parts)
    (layer,) = rows_of(tmp_path / geopackage.NAME, "passes")
    assert acres(layer[0]) == pytest.approx(plan.treatment.treated_ac, rel=1e-5)


@pytest.mark.parametrize("seed", range(4))
def test_corners_are_shared_and_none_is_moved(seed):
    plan, zones_m, spots_m = rough(seed)
    old = [cell for cell, _ in swaths(zones_m)], spots_m
    new = with_shared_corners(*old)
    known = {tuple(at) for side in old for at in shapely.get_coordinates(side)}
    for before, after in zip([*old[0], *old[1]], [*new[0], *new[1]], strict=True):
        rows = shapely.get_coordinates(after).tolist()
        assert {tuple(at) for at in shapely.get_coordinates(before)} <= {tuple(at) for at in rows}
        assert {tuple(at) for at in rows} <= known
    in_degrees = [[to_lonlat(one, plan.epsg) for side in both for one in side] for both in (old, new)]
    assert not edges_match(in_degrees[0]), "cells end at no-spray ground in corners that it does not have"
    assert edges_match(in_degrees[1])


def test_swath_cells_that_are_not_at_the_edge_of_no_spray_ground_reach_no_file(tmp_path):
    plan = slanted(1, moved_m=0.02)
    with pytest.raises(
        ValueError, match="swath cells and no-spray ground of Three Dates overlap or their edges"
    ):
        operator.write(plan, tmp_path)
    assert list(tmp_path.rglob("*.shp")) == []


def test_swath_cells_with_a_gap_reach_no_file(tmp_path):
    plan = slanted(1)
    gone = replace(plan.treatment, parts=plan.treatment.parts[1:])
    with pytest.raises(ValueError, match="swath cells and no-spray ground of Three Dates"):
        check_cover(replace(plan, treatment=gone))


# -- the check before anything is written --------------------------------------------------------------------


@pytest.mark.parametrize("grown_m", [-3.0, 3.0])
def test_no_spray_ground_that_does_not_fit_reaches_no_file(tmp_path, grown_m):
    plan = plan_of()
    pond, yard = plan.no_spray
    wrong = replace(pond, outline=pond.outline.buffer(grown_m / 111_000))
    with pytest.raises(ValueError, match="the zones and no-spray ground of Three Dates"):
        write_all(replace(plan, no_spray=(wrong, yard)), tmp_path)
    with pytest.raises(ValueError, match="add up to"):
        check_cover(replace(plan, no_spray=(pond,)))
    bow = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    with pytest.raises(ValueError, match=r"setback .*setbacks.geojson.* is not a valid polygon"):
        check_cover(replace(plan, no_spray=(pond, replace(yard, outline=bow))))
    assert list(tmp_path.iterdir()) == []


# -- layers and objects --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kinds", "layers"),
    [
        (KINDS, ["setbacks", "dead_ground"]),
        ({3: "setback", 4: "setback"}, ["setbacks"]),
        ({3: "dead ground"}, ["dead_ground"]),
        ({}, []),
    ],
)
@pytest.mark.parametrize("units", ["us", "metric"])
def test_layers_of_the_geopackage(tmp_path, kinds, layers, units):
    plan = plan_of(kinds, units=units)
    geopackage.write(plan, tmp_path)
    path = tmp_path / geopackage.NAME
    assert fiona.listlayers(path) == ["zones", "passes", *layers, "boundary", "layer_styles"]
    wanted = as_object(plan)["no_spray"]
    found = [pair for layer in layers for pair in rows_of(path, layer)]
    assert sorted((row for _, row in found), key=str) == sorted(wanted, key=str)
    for outline, row in found:
        assert acres(outline) == pytest.approx(row["area_ac"], rel=1e-5)
        assert outline.geom_type == "MultiPolygon"
    together = [outline for layer in ["zones", *layers] for outline, _ in rows_of(path, layer)]
    assert shapely.coverage_is_valid(together)
    assert same_ground(together, [plan.boundary])


@pytest.mark.parametrize("units", ["us", "metric"])
def test_by_hand_acres_of_the_plan_as_an_object(units):
    # by hand: 24 cells, of which zone 1 has 11, the pond 2 and the yard 2; zone 2 has the other 9
    whole = as_object(plan_of(units=units))
    totals, pond, yard = whole["totals"], *whole["no_spray"]
    assert (pond["kind"], pond["source"]) == ("dead ground", "drowned.geojson")
    assert (yard["kind"], yard["source"]) == ("setback", "setbacks.geojson")
    acres_of = [totals["spray_ac"], totals["skip_ac"], whole["no_spray_ac"]]
    cells = [one / whole["area_ac"] * 24 for one in acres_of]
    assert cells == pytest.approx([11, 9, 4], rel=1e-4)
    assert pond["area_ac"] + yard["area_ac"] == pytest.approx(whole["no_spray_ac"], abs=1e-5)
    if units == "metric":
        assert whole["no_spray_ha"] == pytest.approx(whole["no_spray_ac"] * 0.40468564, abs=1e-5)
        assert pond["area_ha"] == pytest.approx(pond["area_ac"] * 0.40468564, abs=1e-5)
    else:
        assert list(pond) == ["kind", "source", "area_ac"]


def test_a_plan_without_no_spray_ground_says_so():
    whole = as_object(plan_of({}))
    assert whole["no_spray"] == []
    assert whole["no_spray_ac"] == 0


def test_acres_of_a_farm_add_up():
    plans = [plan_of(), plan_of({}), plan_of({3: "setback"})]
    sums = sums_of(plans)
    assert sums["no_spray_ac"] == pytest.approx(sum(one.no_spray_ac for one in plans), abs=1e-5)
    parts = sums["spray_ac"] + sums["skip_ac"] + sums["no_spray_ac"]
    assert parts == pytest.approx(sums["area_ac"], rel=1e-5)
    assert sums_of([plan_of(level=1)])["no_spray_ac"] > 0


@pytest.mark.parametrize("one", FORMATS, ids=lambda one: one.name)
def test_every_format_is_made_of_parts_that_cover_the_field(tmp_path, one):
    plan = plan_of()
    for name in one.write(plan, tmp_path):
        if name.endswith(".shp"):
            assert sum(acres(outline) for outline, _ in rows_of(tmp_path / name)) == pytest.approx(
                plan.area_ac, rel=1e-4
            )
