"""How every output looks when it is opened: one description of a style, written in three ways.

`style` describes, `ours` has the styles of our layers; `qml` and `sld` render a style as text, `table` puts
it into a GeoPackage. Colours come from `zoning.colours` and from nowhere else.
"""

from zoning.prescription.styles.style import Case as Case
from zoning.prescription.styles.style import Column as Column
from zoning.prescription.styles.style import Shade as Shade
from zoning.prescription.styles.style import Shades as Shades
from zoning.prescription.styles.style import Style as Style
from zoning.prescription.styles.style import Symbol as Symbol
from zoning.prescription.styles.table import with_styles as with_styles
