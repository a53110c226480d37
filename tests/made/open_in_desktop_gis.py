"""Run by a Python that has a desktop GIS's library, never by pytest: opens layers as a user does, and tells.

Reads one JSON object from standard input: `vectors` and `rasters` (name -> what to open), `sld` (name ->
[what to open, path of the style]) and `pictures` (path -> names of vectors, the uppermost first). Prints one
line of JSON. Nothing of the project is imported.
"""

import json
import sys


def symbol(one):
    """Layers of a symbol, the lowest first: kind, fill style and colour, colour of the outline."""
    layers = []
    for index in range(one.symbolLayerCount()):
        layer = one.symbolLayer(index)
        known = layer.properties()
        names = ("style", "color", "outline_color", "line_color", "name", "outline_style")
        layers.append({"kind": layer.layerType(), **{name: known.get(name) for name in names}})
    return layers


def vector(core, layer):
    """What is to be seen of a vector layer."""
    told = {"valid": layer.isValid(), "features": layer.featureCount(), "srs": layer.crs().authid()}
    renderer = layer.renderer()
    told |= {"renderer": renderer.type(), "labels": []}
    if renderer.type() == "categorizedSymbol":
        told["attr"] = renderer.classAttribute()
        told["cases"] = [
            [str(one.value()), one.label(), symbol(one.symbol())] for one in renderer.categories()
        ]
    elif renderer.type() == "RuleRenderer":
        rules = renderer.rootRule().children()
        told["cases"] = [[one.filterExpression(), one.label(), symbol(one.symbol())] for one in rules]
    else:
        told["cases"] = [["", "", symbol(renderer.symbol())]]
    context = core.QgsRenderContext()
    context.expressionContext().setFields(layer.fields())
    renderer.startRender(context, layer.fields())
    found, texts = [], []
    expression = None
    if layer.labelsEnabled() and layer.labeling().type() == "simple":
        expression = core.QgsExpression(layer.labeling().settings().fieldName)
        told["label_error"] = expression.parserErrorString()
    for feature in layer.getFeatures():
        context.expressionContext().setFeature(feature)
        drawn = renderer.symbolsForFeature(feature, context)
        fills = [one.symbolLayer(0).properties().get("color") for one in drawn]
        found.append(fills[0] if len(fills) == 1 else None)  # a row fits one case
        if expression is not None:
            texts.append(expression.evaluate(context.expressionContext()))
    renderer.stopRender(context)
    told["drawn"] = found
    told["labels"] = texts
    return told


def raster(layer):
    """What is to be seen of a raster."""
    renderer = layer.renderer()
    told = {"valid": layer.isValid(), "renderer": renderer.type(), "srs": layer.crs().authid()}
    told["nodata"] = layer.dataProvider().sourceNoDataValue(1)
    if renderer.type() == "paletted":
        told["classes"] = [[one.value, one.color.name(), one.label] for one in renderer.classes()]
    if renderer.type() == "singlebandpseudocolor":
        items = renderer.shader().rasterShaderFunction().colorRampItemList()
        told["classes"] = [[one.value, one.color.name(), one.label] for one in items]
    return told


def picture(core, path, layers):
    """Draw layers as they open; the texts of the labels that found a place."""
    from qgis.PyQt.QtCore import QSize
    from qgis.PyQt.QtGui import QColor

    settings = core.QgsMapSettings()
    settings.setLayers(layers)
    around = layers[-1].extent()
    around.scale(1.1)
    settings.setExtent(around)
    settings.setDestinationCrs(layers[-1].crs())
    settings.setOutputSize(QSize(900, 700))
    settings.setBackgroundColor(QColor("white"))
    job = core.QgsMapRendererSequentialJob(settings)
    job.start()
    job.waitForFinished()
    job.renderedImage().save(path)
    return [one.labelText for one in job.takeLabelingResults().allLabels()]


def main():
    """Open everything that was asked for."""
    from qgis import core

    asked = json.load(sys.stdin)
    program = core.QgsApplication([], False)
    program.initQgis()
    opened = {name: core.QgsVectorLayer(place, name) for name, place in asked["vectors"].items()}
    told = {"version": core.Qgis.QGIS_VERSION}
    told["vectors"] = {name: vector(core, layer) for name, layer in opened.items()}
    told["rasters"] = {
        name: raster(core.QgsRasterLayer(place, name)) for name, place in asked["rasters"].items()
    }
    told["sld"] = {}
    for name, (place, style) in asked["sld"].items():
        layer = core.QgsVectorLayer(place, name)
        _, loaded = layer.loadSldStyle(style)
        told["sld"][name] = {"loaded": loaded, **vector(core, layer)}
    told["pictures"] = {
        path: picture(core, path, [opened[name] for name in names])
        for path, names in asked["pictures"].items()
    }
    print(json.dumps(told))


if __name__ == "__main__":
    main()
