"""A style as QML, the text in which one family of desktop programs keeps it.

Only what is needed: symbols and labels. Entries stand twice, as `Option` and as the older `prop`, so that old
and new versions read them. Written from our own trials with such a program.
"""

from functools import lru_cache
from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from zoning import colours
from zoning.prescription.styles.style import (
    SAME,
    Case,
    Column,
    Shades,
    Style,
    Symbol,
    Value,
    clean,
)

_BRUSH = {"": "solid", "slanted": "b_diagonal", "crossed": "diagonal_x"}
_LABEL_POINT = "9"
_HALO_MM = "0.9"
_OVER_POLYGON, _AROUND_POINT = "4", "0"
_CLEAR = "0,0,0,0"


def _colour(colour: str) -> str:
    return ",".join(map(str, (*colours.rgb(colour), 255)))


def _text(root: Element) -> str:
    return tostring(root, encoding="unicode") + "\n"


def _layer(symbol: Element, kind: str, entries: dict[str, str]) -> None:
    layer = SubElement(symbol, "layer", {"class": kind, "enabled": "1", "locked": "0", "pass": "0"})
    table = SubElement(layer, "Option", {"type": "Map"})
    for name, value in entries.items():
        SubElement(table, "Option", {"name": name, "type": "QString", "value": value})
    for name, value in entries.items():
        SubElement(layer, "prop", {"k": name, "v": value})


def _symbol(symbols: Element, number: int, look: Symbol) -> None:
    kind = "fill" if look.mark is None else "marker"
    symbol = SubElement(
        symbols, "symbol", {"type": kind, "name": str(number), "alpha": "1", "clip_to_extent": "1"}
    )
    edge = {
        "outline_color": _colour(look.outline),
        "outline_style": "solid",
        "outline_width": f"{look.outline_mm:g}",
        "outline_width_unit": "MM",
    }
    if look.mark is not None:
        size = {"name": look.mark, "size": f"{look.mark_mm:g}", "size_unit": "MM"}
        _layer(symbol, "SimpleMarker", {"color": _colour(look.fill), **size, **edge})
        return
    if look.fill and look.hatch:  # a hatch leaves the ground between its lines clear
        ground = {"color": _colour(look.fill), "style": "solid", "outline_style": "no"}
        _layer(symbol, "SimpleFill", ground)
    colour = look.hatch_colour if look.hatch else look.fill
    brush = _BRUSH[look.hatch] if colour else "no"
    own = {"color": _colour(colour) if colour else _CLEAR, "style": brush, "joinstyle": "round"}
    _layer(symbol, "SimpleFill", {**own, **edge})


def _quoted(text: str) -> str:
    return "'" + clean(text).replace("\\", "\\\\").replace("'", "''") + "'"


def _is(column: str, value: Value) -> str:
    if value is None:
        return f'"{column}" IS NULL'
    if isinstance(value, float):
        return f'abs("{column}" - {value!r}) < {SAME}'
    return f'"{column}" = {_quoted(value) if isinstance(value, str) else value}'


def _when(cases: tuple[Case, ...], then: Any) -> str:
    """One expression that gives each row what `then` gives for its case."""
    lines = [
        f"WHEN {' AND '.join(_is(*one) for one in case.where) or 'true'} THEN {then(case)}" for case in cases
    ]
    return f"CASE {' '.join(lines)} END"


def _label(case: Case) -> str:
    parts = [
        f'to_string("{part.name}")' if isinstance(part, Column) else _quoted(part).replace("\n", "\\n")
        for part in case.label
    ]
    return " || ".join(parts)


def _category(categories: Element, number: int, case: Case, value: Value) -> None:
    kinds = {int: "long", float: "double"}
    # Such programs compare texts: 15.0 is "15" there.
    text = f"{value:.10g}" if isinstance(value, float) else "" if value is None else str(value)
    attributes = {
        "symbol": str(number),
        "value": clean(text),
        "type": kinds.get(type(value), "string"),
        "label": clean(case.legend),
        "render": "true",
    }
    SubElement(categories, "category", attributes)


def _renderer(root: Element, style: Style) -> None:
    single = len(style.cases) == 1 and not style.cases[0].where
    attributes = {"type": "singleSymbol" if single else "categorizedSymbol", "symbollevels": "0"}
    if not single:
        attributes["attr"] = style.column or _when(style.cases, lambda case: _quoted(case.legend))
    renderer = SubElement(root, "renderer-v2", attributes)
    if not single:
        categories = SubElement(renderer, "categories")
        for number, case in enumerate(style.cases):
            value = case.where[0][1] if style.column else case.legend
            _category(categories, number, case, value)
    symbols = SubElement(renderer, "symbols")
    for number, case in enumerate(style.cases):
        _symbol(symbols, number, case.symbol)


def _labels(root: Element, style: Style) -> None:
    told = tuple(case for case in style.cases if case.label)
    if not told:
        return
    settings = SubElement(SubElement(root, "labeling", {"type": "simple"}), "settings")
    text = SubElement(
        settings,
        "text-style",
        {
            "fieldName": _when(told, _label),
            "isExpression": "1",
            "fontSize": _LABEL_POINT,
            "fontSizeUnit": "Point",
            "namedStyle": "Bold",
            "fontWeight": "75",
            "textColor": _colour(colours.INK),
            "textOpacity": "1",
            "multilineHeight": "1",
        },
    )
    halo = {"bufferDraw": "1", "bufferSize": _HALO_MM, "bufferSizeUnits": "MM", "bufferOpacity": "1"}
    SubElement(text, "text-buffer", {**halo, "bufferColor": _colour(colours.WHITE), "bufferJoinStyle": "128"})
    SubElement(settings, "text-format", {"multilineAlign": "1"})
    point = any(case.symbol.mark for case in told)
    SubElement(settings, "placement", {"placement": _AROUND_POINT if point else _OVER_POLYGON, "dist": "1"})
    if style.lies_under:  # else its polygons would push the labels of what lies over them off the map
        SubElement(settings, "rendering", {"obstacle": "0"})


@lru_cache(maxsize=256)  # method: styles remembered; many fields of a farm look alike
def of_style(style: Style) -> str:
    """Render the style of a vector layer.

    Examples
    --------
    >>> from zoning.prescription.styles import ours
    >>> 'type="singleSymbol"' in of_style(ours.boundary())
    True
    """
    labelled = any(case.label for case in style.cases)
    root = Element(
        "qgis",
        {
            "version": "3.22.0",
            "styleCategories": "Symbology|Labeling",
            "labelsEnabled": str(int(labelled)),
        },
    )
    _renderer(root, style)
    _labels(root, style)
    return _text(root)


def of_shades(look: Shades) -> str:
    """Render the look of a raster's first band.

    Examples
    --------
    >>> from zoning.prescription.styles.style import Shade
    >>> shades = (Shade(1, "#000000", "one"), Shade(2, "#ffffff", "two"))
    >>> two = Shades(name="days", shades=shades, between=False)
    >>> 'type="paletted"' in of_shades(two)
    True
    """
    root = Element("qgis", {"version": "3.22.0", "styleCategories": "Symbology"})
    pipe = SubElement(root, "pipe")
    least, most = f"{look.shades[0].value:g}", f"{look.shades[-1].value:g}"
    attributes = {"band": "1", "opacity": "1", "alphaBand": "-1"}
    if not look.between:
        renderer = SubElement(pipe, "rasterrenderer", {"type": "paletted", **attributes})
        palette = SubElement(renderer, "colorPalette")
        for one in look.shades:
            entry = {
                "value": f"{one.value:g}",
                "color": one.colour,
                "label": clean(one.legend),
                "alpha": "255",
            }
            SubElement(palette, "paletteEntry", entry)
        return _text(root)
    ends = {"classificationMin": least, "classificationMax": most}
    renderer = SubElement(pipe, "rasterrenderer", {"type": "singlebandpseudocolor", **attributes, **ends})
    shader = SubElement(
        SubElement(renderer, "rastershader"),
        "colorrampshader",
        {
            "colorRampType": "INTERPOLATED",
            "classificationMode": "1",
            "clip": "0",
            "minimumValue": least,
            "maximumValue": most,
        },
    )
    for one in look.shades:
        entry = {"value": f"{one.value:g}", "color": one.colour, "label": clean(one.legend), "alpha": "255"}
        SubElement(shader, "item", entry)
    return _text(root)
