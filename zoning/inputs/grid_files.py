"""A CRS that leans on another file, as on a grid of shifts between datums: refused before anything is placed.

The library would open that file wherever the CRS says it lies: elsewhere on this computer, or on a share.
"""

import re

from zoning.errors import InputError

# How the standard text of a CRS, and what the library adds to it, name a file; "@null" stands for none.
_NONE = re.compile(r"""nadgrids\s*=\s*@null(?=[\s"'])""", re.IGNORECASE)
_NAMED = re.compile(r"PARAMETERFILE|PROJ4_GRIDS|(grids?|init|file|model)\s*=", re.IGNORECASE)


def is_named_in(wkt: str) -> bool:
    """Tell whether the text of a CRS names a file.

    Parameters
    ----------
    wkt : str
        The CRS as well-known text.

    Examples
    --------
    >>> is_named_in('EXTENSION["PROJ4","+proj=merc +nadgrids=@null +wktext"]')
    False
    >>> is_named_in('EXTENSION["PROJ4","+proj=longlat +nadgrids=/a/b.gsb"]')
    True
    """
    return _NAMED.search(_NONE.sub("", wkt)) is not None


def refuse(wkt: str, file: str) -> None:
    """Refuse a CRS that names a file.

    Parameters
    ----------
    wkt : str
        The CRS as well-known text, or what holds one.
    file : str
        The file that has the CRS, as the user calls it.

    Raises
    ------
    InputError
        With how to mend it.
    """
    if is_named_in(wkt):
        mend = "Save it again with a CRS that has an EPSG code."
        raise InputError("its CRS leans on another file, which is not opened", where=file, mend=mend)
