"""A style as SLD 1.1 with Symbology Encoding 1.1: the open standard, for every other program.

A hatch is a graphic fill with one of the standard's own marks, for it has no sloping line: "x" for ground
that is skipped, "cross" for ground that is never sprayed. Lengths are in pixels, the standard's own unit.

References
----------
.. [1] OGC 05-078r4, "Styled Layer Descriptor profile of the Web Map Service", 1.1.0, 2007.
.. [2] OGC 05-077r4, "Symbology Encoding Implementation Specification", 1.1.0, 2006.
"""

from functools import lru_cache
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement, tostring

from zoning import colours
from zoning.prescription.styles.style import (
    SAME,
    Case,
    Column,
    Hatch,
    Shades,
    Style,
    Symbol,
    Value,
    clean,
)

_SPACES = {
    "xmlns:sld": "http://www.opengis.net/sld",
    "xmlns:se": "http://www.opengis.net/se",
    "xmlns:ogc": "http://www.opengis.net/ogc",
}
_MARKS: dict[Hatch, str] = {"slanted": "x", "crossed": "cross"}
_PX_PER_MM = 1 / 0.28  # [2]_ 11.1.3: a pixel is 0.28 mm
_HATCH_PX = "8"
_LABEL_PX = "12"
_HALO_PX = "2"


def _px(length_mm: float) -> str:
    return f"{length_mm * _PX_PER_MM:.2g}"


def _put(parent: Element, name: str, text: str = "") -> Element:
    child = SubElement(parent, name)
    child.text = clean(text) or None
    return child


def _parameters(parent: Element, values: dict[str, str]) -> None:
    for name, value in values.items():
        SubElement(parent, "se:SvgParameter", {"name": name}).text = value


def _fill(parent: Element, colour: str) -> None:
    _parameters(_put(parent, "se:Fill"), {"fill": colour})


def _stroke(parent: Element, colour: str, width_px: str) -> None:
    _parameters(_put(parent, "se:Stroke"), {"stroke": colour, "stroke-width": width_px})


def _mark(parent: Element, name: str) -> tuple[Element, Element]:
    graphic = _put(parent, "se:Graphic")
    mark = _put(graphic, "se:Mark")
    _put(mark, "se:WellKnownName", name)
    return graphic, mark


def _symbol(rule: Element, look: Symbol) -> None:
    if look.mark is not None:
        graphic, mark = _mark(_put(rule, "se:PointSymbolizer"), look.mark)
        _fill(mark, look.fill)
        _stroke(mark, look.outline, _px(look.outline_mm))
        _put(graphic, "se:Size", _px(look.mark_mm))
        return
    if look.hatch:  # a graphic fill has no ground of its own
        _fill(_put(rule, "se:PolygonSymbolizer"), look.fill)
    polygon = _put(rule, "se:PolygonSymbolizer")
    if look.hatch:
        inside = _put(_put(polygon, "se:Fill"), "se:GraphicFill")
        graphic, mark = _mark(inside, _MARKS[look.hatch])
        _stroke(mark, look.hatch_colour, "1")
        _put(graphic, "se:Size", _HATCH_PX)
    elif look.fill:
        _fill(polygon, look.fill)
    _stroke(polygon, look.outline, _px(look.outline_mm))


def _label(rule: Element, parts: tuple[Column | str, ...]) -> None:
    text = _put(rule, "se:TextSymbolizer")
    label = _put(text, "se:Label")
    last: Element | None = None
    for part in parts:
        if isinstance(part, Column):
            last = _put(label, "ogc:PropertyName", part.name)
        elif last is None:
            label.text = (label.text or "") + clean(part)
        else:
            last.tail = (last.tail or "") + clean(part)
    _parameters(_put(text, "se:Font"), {"font-size": _LABEL_PX, "font-weight": "bold"})
    halo = _put(text, "se:Halo")
    _put(halo, "se:Radius", _HALO_PX)
    _fill(halo, colours.WHITE)
    _fill(text, colours.INK)


def _condition(parent: Element, column: str, value: Value) -> None:
    if value is None:
        _put(_put(parent, "ogc:PropertyIsNull"), "ogc:PropertyName", column)
    elif isinstance(value, float):
        between = _put(parent, "ogc:PropertyIsBetween")
        _put(between, "ogc:PropertyName", column)
        for name, edge in (("ogc:LowerBoundary", value - SAME), ("ogc:UpperBoundary", value + SAME)):
            _put(_put(between, name), "ogc:Literal", f"{edge:.6f}".rstrip("0").rstrip("."))
    else:
        equal = _put(parent, "ogc:PropertyIsEqualTo")
        _put(equal, "ogc:PropertyName", column)
        _put(equal, "ogc:Literal", str(value))


def _rule(parent: Element, case: Case) -> None:
    rule = _put(parent, "se:Rule")
    _put(rule, "se:Name", case.legend)
    _put(_put(rule, "se:Description"), "se:Title", case.legend)
    if case.where:
        asked = _put(rule, "ogc:Filter")
        if len(case.where) > 1:
            asked = _put(asked, "ogc:And")
        for column, value in case.where:
            _condition(asked, column, value)
    _symbol(rule, case.symbol)
    if case.label:
        _label(rule, case.label)


def _user_style(name: str) -> tuple[Element, Element]:
    root = Element("sld:StyledLayerDescriptor", {"version": "1.1.0", **_SPACES})
    layer = _put(root, "sld:NamedLayer")
    _put(layer, "se:Name", name)
    style = _put(layer, "sld:UserStyle")
    _put(style, "se:Name", name)
    return root, style


def _text(root: Element) -> str:
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"


@lru_cache(maxsize=256)  # method: styles remembered; many fields of a farm look alike
def of_style(style: Style) -> str:
    """Render the style of a vector layer.

    Examples
    --------
    >>> from zoning.prescription.styles import ours
    >>> of_style(ours.boundary()).count("<se:Rule>")
    1
    """
    root, own = _user_style(style.name)
    features = _put(own, "se:FeatureTypeStyle")
    for case in style.cases:
        _rule(features, case)
    return _text(root)


def of_shades(look: Shades) -> str:
    """Render the look of a raster's first band.

    Examples
    --------
    >>> from zoning.prescription.styles.style import Shade
    >>> shades = (Shade(1, "#000000", "one"), Shade(2, "#ffffff", "two"))
    >>> two = Shades(name="days", shades=shades, between=False)
    >>> "<se:Threshold>1.5</se:Threshold>" in of_shades(two)
    True
    """
    root, own = _user_style(look.name)
    rule = _put(_put(own, "se:CoverageStyle"), "se:Rule")
    _put(rule, "se:Name", look.name)
    colour_map = _put(_put(rule, "se:RasterSymbolizer"), "se:ColorMap")
    first = look.shades[0].colour
    if look.between:
        inner = SubElement(
            colour_map, "se:Interpolate", {"fallbackValue": first, "mode": "linear", "method": "color"}
        )
        _put(inner, "se:LookupValue", "Rasterdata")
        for one in look.shades:
            point = _put(inner, "se:InterpolationPoint")
            _put(point, "se:Data", f"{one.value:g}")
            _put(point, "se:Value", one.colour)
        return _text(root)
    inner = SubElement(colour_map, "se:Categorize", {"fallbackValue": first})
    _put(inner, "se:LookupValue", "Rasterdata")
    _put(inner, "se:Value", first)
    for left, right in pairwise(look.shades):
        _put(inner, "se:Threshold", f"{(left.value + right.value) / 2:g}")
        _put(inner, "se:Value", right.colour)
    return _text(root)
