"""sheet.pdf: a page for the grower, and a page for the operator of each pass."""

from zoning.show.sheet.document import pdf as pdf
from zoning.show.sheet.document import write as write
