"""Faults for a good GeoJSON file of a pass: what is done to its text or to what json reads, and the rule.

Each takes the path of the file. Nothing here is written by the project.
"""

import json


def thing(change):
    """Change what json reads, and write it again."""

    def spoil(path):
        whole = json.loads(path.read_text())
        changed = change(whole)
        path.write_text(json.dumps(whole if changed is None else changed))

    return spoil


def words(old, new):
    def spoil(path):
        text = path.read_text()
        assert old in text
        path.write_text(text.replace(old, new, 1))

    return spoil


def rate(value, column="rate_gal_ac", row=0):
    return thing(lambda whole: whole["features"][row]["properties"].update({column: value}))


def shape(change, row=0):
    """Change the rings of one feature."""

    def of(whole):
        geometry = whole["features"][row]["geometry"]
        geometry["coordinates"] = change(geometry["coordinates"])

    return thing(of)


def points(change):
    """Change every point."""

    def of(whole):
        whole.pop("bbox", None)
        for feature in whole["features"]:
            geometry = feature["geometry"]
            geometry["coordinates"] = [[change(*point) for point in r] for r in geometry["coordinates"]]

    return thing(of)


def renamed(old, new):
    def of(whole):
        for feature in whole["features"]:
            feature["properties"][new] = feature["properties"].pop(old)

    return thing(of)


def together(whole):
    """Two features become one of two parts."""
    first, second, *rest = whole["features"]
    parts = [first["geometry"]["coordinates"], second["geometry"]["coordinates"]]
    first["geometry"] = {"type": "MultiPolygon", "coordinates": parts}
    whole["features"] = [first, *rest]


def less(whole):
    whole["features"].pop(0)


def named_crs(name):
    return thing(lambda whole: whole.update(crs={"type": "name", "properties": {"name": name}}))


COLLECTION = {
    "half a file": ("json_broken", lambda path: path.write_text(path.read_text()[:700])),
    "a trailing comma": ("json_broken", words('"features": [', '"features": [,')),
    "brackets without end": ("json_broken", lambda path: path.write_text("[" * 100_000)),
    "other letters": (
        "not_utf8",
        lambda path: path.write_bytes(b'{"type": "FeatureCollection", "farm": "\xf1"}'),
    ),
    "a single feature": ("no_collection", thing(lambda whole: whole["features"][0])),
    "a list": ("no_collection", thing(lambda whole: whole["features"])),
    "no list of features": ("no_collection", thing(lambda whole: whole.update(features=None))),
    "NaN for a rate": ("not_a_number", rate(float("nan"))),
    "metres of UTM by name": ("other_crs", named_crs("urn:ogc:def:crs:EPSG::32615")),
    "an older datum": ("other_crs", named_crs("urn:ogc:def:crs:EPSG::4267")),
    "a crs all the same": ("old_crs", named_crs("urn:ogc:def:crs:OGC:1.3:CRS84")),
    "a geometry among features": (
        "no_feature",
        thing(lambda whole: whole["features"].append({"type": "Polygon", "coordinates": []})),
    ),
    "no rate at all": ("no_rate_property", renamed("rate_gal_ac", "dose")),
    "a rate without a unit": ("unit_not_in_name", renamed("rate_gal_ac", "rate")),
    "twelve decimals": ("fine_coordinates", points(lambda x, y: [x + 1.23e-10, y])),
    "heights": ("heights", points(lambda x, y: [x, y, 251.5])),
    "the bbox of another field": ("wrong_bbox", thing(lambda whole: whole.update(bbox=[-96, 44, -95, 45]))),
    "a rate of null": ("no_rate", rate(None)),
    "a rate as a text": ("no_rate", rate("15.0")),
    "a rate of true": ("no_rate", rate(True)),
    "a rate below 0": ("negative_rate", rate(-15.0)),
    "a rate x 100": ("implausible_rate", rate(1500.0)),
    "a rate with three decimals": ("decimals", rate(15.125)),
    "no feature": ("no_polygon", thing(lambda whole: whole.update(features=[]))),
    "a point": (
        "no_shape",
        thing(lambda w: w["features"][0].update(geometry={"type": "Point", "coordinates": [-95, 44]})),
    ),
    "a geometry of null": ("no_shape", thing(lambda whole: whole["features"][0].update(geometry=None))),
    "latitude first": ("swapped", points(lambda x, y: [y, x])),
    "a coordinate as a text": (
        "not_finite",
        shape(lambda rings: [[[str(rings[0][0][0]), 44], *rings[0][1:]], *rings[1:]]),
    ),
    "metres for degrees": (
        "out_of_range",
        points(lambda x, y: [270_000 + (x + 95) * 80_000, y * 111_000]),
    ),
    "shapefile's ring order": ("ring_order", shape(lambda rings: [ring[::-1] for ring in rings])),
    "an open ring": ("not_closed", shape(lambda rings: [rings[0][:-1], *rings[1:]])),
    "a ring of three": ("ring_too_short", shape(lambda rings: [[*rings[0][:2], rings[0][0]]])),
    "two parts": ("several_parts", thing(together)),
    "a feature twice": ("duplicate", thing(lambda whole: whole["features"].append(whole["features"][0]))),
    "a feature less": ("not_covered", thing(less)),
}
