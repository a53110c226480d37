"""What was planted where, from a planter's or a phone's file: a preview, then the field's planting.geojson.

preview   the file read, the records of this field, and the blocks that follow: the very ones that `run` makes
written   planting.geojson, where it came from, and the setting that names it
told      the preview in words; `objects` the same as an object

It asks no network.
"""

from zoning.fetch.planting.objects import as_object as as_object
from zoning.fetch.planting.preview import Preview as Preview
from zoning.fetch.planting.preview import preview as preview
from zoning.fetch.planting.told import text as text
from zoning.fetch.planting.written import confirm as confirm
from zoning.fetch.planting.written import draw as draw
from zoning.inputs.planted.brought.asked import Typed as Typed
