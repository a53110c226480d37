"""Styles: one description, three renderings that say the same; and the table that carries them."""

import sqlite3
from contextlib import closing
from pathlib import Path
from xml.etree import ElementTree

import fiona
import pytest
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, renamed, smooth_field, with_scouting

from zoning import colours
from zoning.inputs import vector
from zoning.prescription import geopackage, rasters, shapefile
from zoning.prescription.as_json.plan_json import as_object
from zoning.prescription.formats import write_all
from zoning.prescription.styles import Case, Column, Shade, Shades, Style, Symbol, ours, qml, sld, with_styles

SE, SLD, OGC = (f"{{http://www.opengis.net/{name}}}" for name in ("se", "sld", "ogc"))
PASSES = {1: 1, 3: 1, 4: 2}


def plan_of(no_spray=True, **wanted):
    labels, blocks = smooth_field(3, shape=(40, 39))
    asked = {"pass_of_zone": PASSES, **wanted}
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, cell_m=20, **asked))
    plan = with_scouting(plan, counted=[1], low=[2])
    return with_no_spray(plan, {5: "setback", 6: "dead ground"}) if no_spray else plan


def all_styles():
    plans = [
        plan_of(),
        plan_of(no_spray=False, units="metric"),
        plan_of(no_spray=False, level=1),
        plan_of(no_spray=False, level=2),
        plan_of(no_spray=False, pass_of_zone={}),
    ]
    for plan in plans:
        yield from ours.of_layers([plan]).values()
        if shapefile.applies(plan):
            yield ours.prescription(plan)
        yield from (ours.rates(plan, one, "rate_gal_ac") for one in plan.passes)
    yield from ours.of_layers(plans).values()


def hexed(text):
    red, green, blue, _ = map(int, text.split(","))
    return f"#{red:02x}{green:02x}{blue:02x}"


def palette():
    """Every colour that zoning.colours has, and the shades between the two rates."""
    named = [value for value in vars(colours).values() if isinstance(value, str) and value.startswith("#")]
    ramps = [*colours.DATE, *colours.NET, *colours.ZONES]
    return {*named, *ramps, *(colours.spray(rank, many) for many in (1, 2, 3) for rank in range(many))}


# Children in their order, as the two standards' schemas have them (OGC 05-077r4 and 05-078r4; OGC 04-095 for
# filters): what may stand below an element, and in which order.
ORDER = {
    f"{SLD}StyledLayerDescriptor": [f"{SLD}NamedLayer"],
    f"{SLD}NamedLayer": [f"{SE}Name", f"{SLD}UserStyle"],
    f"{SLD}UserStyle": [f"{SE}Name", f"{SE}FeatureTypeStyle", f"{SE}CoverageStyle"],
    f"{SE}FeatureTypeStyle": [f"{SE}Rule"],
    f"{SE}CoverageStyle": [f"{SE}Rule"],
    f"{SE}Rule": [
        *(f"{SE}Name", f"{SE}Description", f"{OGC}Filter", f"{SE}PolygonSymbolizer", f"{SE}PointSymbolizer"),
        *(f"{SE}TextSymbolizer", f"{SE}RasterSymbolizer"),
    ],
    f"{SE}Description": [f"{SE}Title"],
    f"{SE}PolygonSymbolizer": [f"{SE}Fill", f"{SE}Stroke"],
    f"{SE}PointSymbolizer": [f"{SE}Graphic"],
    f"{SE}TextSymbolizer": [f"{SE}Label", f"{SE}Font", f"{SE}Halo", f"{SE}Fill"],
    f"{SE}RasterSymbolizer": [f"{SE}ColorMap"],
    f"{SE}ColorMap": [f"{SE}Categorize", f"{SE}Interpolate"],
    f"{SE}Interpolate": [f"{SE}LookupValue", f"{SE}InterpolationPoint"],
    f"{SE}InterpolationPoint": [f"{SE}Data", f"{SE}Value"],
    f"{SE}Label": [f"{OGC}PropertyName"],
    f"{SE}Font": [f"{SE}SvgParameter"],
    f"{SE}Halo": [f"{SE}Radius", f"{SE}Fill"],
    f"{SE}Fill": [f"{SE}GraphicFill", f"{SE}SvgParameter"],
    f"{SE}GraphicFill": [f"{SE}Graphic"],
    f"{SE}Stroke": [f"{SE}SvgParameter"],
    f"{SE}Graphic": [f"{SE}Mark", f"{SE}Size"],
    f"{SE}Mark": [f"{SE}WellKnownName", f"{SE}Fill", f"{SE}Stroke"],
    f"{OGC}And": [f"{OGC}PropertyIsEqualTo", f"{OGC}PropertyIsBetween", f"{OGC}PropertyIsNull"],
    f"{OGC}Filter": [
        *(f"{OGC}And", f"{OGC}PropertyIsEqualTo", f"{OGC}PropertyIsBetween", f"{OGC}PropertyIsNull"),
    ],
    f"{OGC}PropertyIsEqualTo": [f"{OGC}PropertyName", f"{OGC}Literal"],
    f"{OGC}PropertyIsNull": [f"{OGC}PropertyName"],
    f"{OGC}PropertyIsBetween": [f"{OGC}PropertyName", f"{OGC}LowerBoundary", f"{OGC}UpperBoundary"],
    f"{OGC}LowerBoundary": [f"{OGC}Literal"],
    f"{OGC}UpperBoundary": [f"{OGC}Literal"],
}
# 05-077r4, 11.3.2: the marks that every reader knows
WELL_KNOWN = {"square", "circle", "triangle", "star", "cross", "x"}


def check_order(text):
    for element in ElementTree.fromstring(text).iter():
        names = [child.tag for child in element]
        if element.tag == f"{SE}Categorize":  # value, then threshold and value in turn
            pairs = [f"{SE}Threshold", f"{SE}Value"] * ((len(names) - 2) // 2)
            assert names == [f"{SE}LookupValue", f"{SE}Value", *pairs]
            continue
        known = ORDER.get(element.tag, [])
        assert set(names) <= set(known), f"{element.tag} may not hold {set(names) - set(known)}"
        places = [known.index(name) for name in names]
        assert places == sorted(places), f"{element.tag}: {names}"


def test_the_open_style_keeps_to_the_standards_names_and_their_order():
    for style in all_styles():
        text = sld.of_style(style)
        check_order(text)
        root = ElementTree.fromstring(text)
        assert (root.tag, root.attrib["version"]) == (f"{SLD}StyledLayerDescriptor", "1.1.0")
        assert {mark.text for mark in root.iter(f"{SE}WellKnownName")} <= WELL_KNOWN
        assert len(list(root.iter(f"{SE}Rule"))) == len(style.cases)


def test_all_colours_are_those_of_the_palettes():
    known = palette()
    for style in all_styles():
        for one in ElementTree.fromstring(sld.of_style(style)).iter(f"{SE}SvgParameter"):
            if one.attrib["name"] in ("fill", "stroke"):
                assert one.text in known
        for one in ElementTree.fromstring(qml.of_style(style)).iter("prop"):
            if "color" in one.attrib["k"] and one.attrib["v"] != "0,0,0,0":
                assert hexed(one.attrib["v"]) in known


def test_options_and_older_entries_say_the_same():
    for style in all_styles():
        for layer in ElementTree.fromstring(qml.of_style(style)).iter("layer"):
            new = {one.attrib["name"]: one.attrib["value"] for one in layer.find("Option")}
            old = {one.attrib["k"]: one.attrib["v"] for one in layer.findall("prop")}
            assert new == old
            assert len(old) > 2


def test_categories_of_a_legend_are_told_apart():
    for style in all_styles():
        root = ElementTree.fromstring(qml.of_style(style))
        values = [one.attrib["value"] for one in root.iter("category")]
        assert len(values) == len(set(values))
        symbols = {one.attrib["name"] for one in root.iter("symbol")}
        assert symbols == {str(number) for number in range(len(style.cases))}


def fits(case, row):
    return all(
        row[column] is not None and abs(row[column] - value) < 0.005 if isinstance(value, float)
        else row[column] == value
        for column, value in case.where
    )  # fmt: skip


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("level", [1, 2, 3])
def test_every_row_fits_one_case(tmp_path, units, level):
    plan = plan_of(units=units, level=level)
    write_all(plan, tmp_path)
    looks = {f"zones.gpkg|{name}": style for name, style in ours.of_layers([plan]).items()}
    if level == 3:
        looks["prescription.shp|prescription"] = ours.prescription(plan)
        column = "rate_l_ha" if units == "metric" else "rate_gal_ac"
        for one in plan.passes:
            path = f"passes/P{one.number}/P{one.number}_{one.day:%m%d}.gpkg|prescription"
            looks[path] = ours.rates(plan, one, column)
    read = 0
    for place, style in looks.items():
        name, layer = place.split("|")
        if layer not in fiona.listlayers(tmp_path / name):
            continue
        used = set()
        with fiona.open(tmp_path / name, layer=layer) as file:
            for row in file:
                fitting = [case.legend for case in style.cases if fits(case, dict(row.properties))]
                assert len(fitting) == 1, f"{place}: {dict(row.properties)}"
                used |= set(fitting)
        assert used == {case.legend for case in style.cases}, "a legend has no line for what is not there"
        read += 1
    assert read == {1: 5, 2: 5, 3: 9}[level]


def test_skip_differs_without_colour():
    plan = plan_of()
    for style in (ours.zones([plan]), ours.prescription(plan)):
        hatched = {case.legend: case.symbol.hatch for case in style.cases}
        assert hatched.pop("skip") == "slanted"
        assert "slanted" not in hatched.values()
    marks = [
        one.text
        for one in ElementTree.fromstring(sld.of_style(ours.zones([plan]))).iter(f"{SE}WellKnownName")
    ]
    assert marks == ["x"]


def test_a_farm_of_many_fields_is_styled_as_one():
    plans = [plan_of(no_spray=False, level=1), plan_of(no_spray=False), plan_of(no_spray=False, level=2)]
    legend = [case.legend for case in ours.zones(plans).cases]
    assert legend == [
        *("spray, 20 gal/ac", "spray, 15 gal/ac", "spray", "skip", "no decision: prices are not known"),
    ]
    assert [case.legend for case in ours.passes(plans).cases] == ["20 gal/ac", "15 gal/ac"]
    used = set()
    for row in (row for plan in plans for row in as_object(plan)["zones"]):
        (fitting,) = [case.legend for case in ours.zones(plans).cases if fits(case, row)]
        used.add(fitting)
    assert used == set(legend)


def test_published_table_of_styles(tmp_path):
    # columns as the draft extension of P. Kalberer describes them; OGC 12-128r15, 2.4: a table without shapes
    # is registered as "attributes"
    plan = plan_of()
    geopackage.write(plan, tmp_path)
    with closing(sqlite3.connect(tmp_path / "zones.gpkg")) as base:
        columns = [row[1] for row in base.execute("pragma table_info(layer_styles)")]
        assert columns == [
            *("id", "f_table_catalog", "f_table_schema", "f_table_name", "f_geometry_column", "styleName"),
            *("styleQML", "styleSLD", "useAsDefault", "description", "owner", "ui", "update_time"),
        ]
        found = base.execute(
            "select f_table_catalog, f_table_schema, f_table_name, f_geometry_column, useAsDefault,"
            " update_time from layer_styles"
        ).fetchall()
        layers = dict(base.execute("select table_name, column_name from gpkg_geometry_columns"))
        assert sorted(found) == sorted(
            ("", "", layer, column, 1, "2026-07-01T00:00:00.000Z") for layer, column in layers.items()
        )
        kind = "select data_type from gpkg_contents where table_name = 'layer_styles'"
        assert base.execute(kind).fetchone() == ("attributes",)
        assert base.execute("pragma integrity_check").fetchone() == ("ok",)
        assert base.execute("pragma foreign_key_check").fetchall() == []
        for own, opened in base.execute("select styleQML, styleSLD from layer_styles"):
            assert ElementTree.fromstring(own).attrib["styleCategories"] == "Symbology|Labeling"
            check_order(opened)


def test_other_tables_stay_as_they_were_and_bytes_are_the_same(tmp_path):
    plan = plan_of()
    plain = geopackage.as_bytes(geopackage.layers(plan), {"run_id": plan.run_id}, plan.today)
    styled = with_styles(plain, ours.of_layers([plan]), plan.today)
    assert styled == with_styles(plain, ours.of_layers([plan]), plan.today)
    with closing(sqlite3.connect(":memory:")) as before, closing(sqlite3.connect(":memory:")) as after:
        before.deserialize(plain)
        after.deserialize(styled)
        for (name,) in before.execute("select name from sqlite_master where type = 'table'").fetchall():
            if name in ("gpkg_contents", "sqlite_sequence") or name.startswith("rtree"):
                continue
            rows = f"select * from {name}"
            assert before.execute(rows).fetchall() == after.execute(rows).fetchall(), name


@pytest.mark.parametrize("name", ['it\'s "A" & <B>\\', "a\x0bb\x00c", "漢字\nÜnal", "]]>", "\ud83d"])
def test_hostile_names_leave_the_texts_readable(name):
    symbol = Symbol(fill=colours.SKIP, outline=colours.INK)
    case = Case(where=(("block", name), ("n", 1)), legend=name, symbol=symbol, label=(name, Column("n")))
    style = Style(name=name, cases=(case,))
    shades = Shades(
        name=name, shades=(Shade(1, colours.INK, name), Shade(2, colours.SKIP, name)), between=False
    )
    for text in (qml.of_style(style), sld.of_style(style), qml.of_shades(shades), sld.of_shades(shades)):
        ElementTree.fromstring(text.encode())
    plan = renamed(plan_of(no_spray=False, level=1), "x", 'it\'s "A" & <B>')
    shown = ElementTree.fromstring(qml.of_style(ours.zones([plan]))).find(".//category")
    assert shown.attrib["label"] == 'zone 1, block it\'s "A" & <B>'


def test_by_hand_text_of_an_expression():
    # a quote is written twice in SQL-like texts; two decimals tell rates apart, so half of one is the reach
    symbol = Symbol(fill=colours.SKIP, outline=colours.INK)
    cases = (
        Case(where=(("a", "it's"), ("r", 15.0)), legend="one", symbol=symbol),
        Case(where=(("a", "x"), ("r", None)), legend="two", symbol=symbol),
    )
    text = (
        ElementTree.fromstring(qml.of_style(Style(name="s", cases=cases))).find("renderer-v2").attrib["attr"]
    )
    assert text == (
        "CASE WHEN \"a\" = 'it''s' AND abs(\"r\" - 15.0) < 0.005 THEN 'one'"
        " WHEN \"a\" = 'x' AND \"r\" IS NULL THEN 'two' END"
    )


def test_rasters_have_well_formed_styles_of_the_palettes(tmp_path):
    rasters.write(plan_of(), tmp_path)
    known = palette()
    styles = sorted(Path(tmp_path).glob("rasters/*.sld"))
    assert [path.stem for path in styles] == ["net_return", "r3_day", "zone"]
    for path in styles:
        check_order(path.read_text(encoding="utf-8"))
        values = [one.text for one in ElementTree.parse(path).iter(f"{SE}Value")]
        own = ElementTree.parse(path.with_suffix(".qml"))
        entries = [*own.iter("paletteEntry"), *own.iter("item")]
        assert [one.attrib["color"] for one in entries] == values
        if path.stem != "r3_day":  # days lie between the stops of their ramp
            assert set(values) <= known


def test_a_file_with_styles_is_read_as_an_input(tmp_path):
    # a desktop GIS adds the same table when somebody saves a style: it is no second layer
    plan = plan_of()
    plain = geopackage.as_bytes(geopackage.layers(plan)[:1], {"run_id": "x"}, plan.today)
    path = tmp_path / "drawn.gpkg"
    path.write_bytes(with_styles(plain, ours.of_layers([plan]), plan.today))
    assert fiona.listlayers(path) == ["zones", "layer_styles"]
    assert len(vector.read(path, path.name, layer="boundary").features) == len(plan.zones)
