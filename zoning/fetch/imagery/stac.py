"""A catalogue asked for the scenes of a field: items as they came, or one line that says why there are none.

The one module that speaks with a catalogue, and the one that imports the library for it.
"""

import re
import time
import warnings
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from urllib.parse import urljoin, urlsplit

from pystac.errors import STACError, STACTypeError
from pystac_client import Client
from pystac_client.errors import ClientTypeError
from pystac_client.exceptions import APIError, ParametersError
from pystac_client.stac_api_io import StacApiIO
from pystac_client.warnings import PystacClientWarning
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry
from urllib3 import BaseHTTPResponse
from urllib3.util import Retry

from zoning.errors import WORLD, InputError
from zoning.evidence import number
from zoning.fetch.imagery.catalogues import Catalogue
from zoning.fetch.imagery.refusals import BUSY, of_status
from zoning.fetch.imagery.scenes import Item
from zoning.fetch.session import AGENT

_PAGE = 100  # items asked for at a time
_PIECE = 65_536  # bytes that are taken at most at once
_STATUS = re.compile(r"too many (\d{3}) error responses")
# What the library raises at answers that are no STAC.
_NO_STAC = (
    *(STACError, STACTypeError, ClientTypeError, ParametersError, LookupError, TypeError, ValueError),
    RecursionError,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """The ground and the days of which scenes are wanted; `around` is in EPSG:4326."""

    around: BaseGeometry
    first: date
    last: date


class _Patient(Retry):
    """Waits as long as it is asked to, but not for hours."""

    def get_retry_after(self, response: BaseHTTPResponse) -> float | None:
        wait_s = super().get_retry_after(response)
        if wait_s is not None and wait_s > number("fetch.wait_most_s"):
            raise APIError(f"too many {response.status} error responses")
        return wait_s


def _taken(response: Any, *_: object, **__: object) -> None:
    """Take the content piece by piece, so that neither its size nor its time is endless."""
    most, began, body = int(number("fetch.answer_most_bytes")), time.monotonic(), bytearray()
    with response:
        while piece := response.raw.read1(_PIECE, decode_content=True):
            body += piece
            if len(body) > most:
                raise APIError(f"more than {most:,} bytes")
            if time.monotonic() - began > number("fetch.whole_answer_within_s"):
                raise APIError("timed out")
    response._content = bytes(body)  # where the library looks for what came already


class _Polite(StacApiIO):
    """Asks http and https only, whatever the catalogue's links say, and not without end."""

    def __init__(self) -> None:
        tries = _Patient(
            total=int(number("fetch.tries_more")),
            backoff_factor=number("fetch.wait_s"),
            backoff_max=number("fetch.wait_most_s"),
            status_forcelist=BUSY,
            allowed_methods=None,
            respect_retry_after_header=True,
        )
        super().__init__(headers={"User-Agent": AGENT}, max_retries=tries)
        self.session.hooks["response"].append(_taken)
        self._left = int(number("fetch.requests_most"))

    def read_text(self, source: Any, *args: Any, **more: Any) -> str:
        href = source.get_href() if hasattr(source, "get_href") else str(source)
        if urlsplit(href or "").scheme not in ("http", "https"):
            raise APIError("a link that leads to no place on the network")
        if self._left <= 0:
            raise APIError("more requests than are asked at a time")
        self._left -= 1
        return super().read_text(source, *args, **more)


def search(catalogue: Catalogue, asked: Asked) -> tuple[list[Item], str]:
    """Ask a catalogue for the scenes over a field.

    Parameters
    ----------
    catalogue : Catalogue
    asked : Asked
        Days by the clock of the field: the catalogue is asked for a day more on both sides.

    Returns
    -------
    (list of dict, str)
        Items as they came, with addresses of assets made absolute, in the order of their names; and the
        licence of the collection, "" where it names none.

    Raises
    ------
    InputError
        Code 4: it cannot be reached, is no catalogue, or refuses; and for more scenes than can be meant.
    """
    most = int(number("fetch.scenes_most"))
    day = timedelta(days=1)
    first, last = max(asked.first, date.min + day) - day, min(asked.last, date.max - day) + day
    with warnings.catch_warnings(action="ignore"):  # told below, in words
        try:
            client = Client.open(
                catalogue.address, stac_io=_Polite(), timeout=number("fetch.answer_within_s")
            )
            found = client.search(
                collections=[catalogue.collection],
                intersects=mapping(asked.around),
                datetime=f"{first}T00:00:00Z/{last}T23:59:59Z",
                limit=_PAGE,
                max_items=most + 1,
            )
            items = [dict(one) for one in found.items_as_dicts()]
            licence = _licence(client, catalogue.collection)
        except APIError as error:
            raise _refused(catalogue, error) from error
        except (NotImplementedError, PystacClientWarning) as error:
            raise _no_catalogue(catalogue, "it cannot be searched: it is no STAC API") from error
        except (*_NO_STAC, AttributeError) as error:
            raise _no_catalogue(catalogue, "it answered with what is no STAC") from error
    if licence is None and not items:
        raise _no_catalogue(catalogue, f"it has no collection {catalogue.collection}")
    if len(items) > most:
        what = f"there are more than {most:,} scenes between {asked.first} and {asked.last}"
        raise InputError(what, where=catalogue.name, mend="Ask for fewer days.", code=WORLD)
    return sorted((_absolute(one) for one in items), key=lambda one: str(one.get("id"))), licence or ""


def _licence(client: Client, collection: str) -> str | None:
    """Give what the collection says of its licence, and whom to name; None where it is not there."""
    try:
        found = client.get_collection(collection)
    except APIError as error:
        if getattr(error, "status_code", None) == 404:  # method: not there; else it is told by the caller
            return None
        raise
    if found is None:
        return None
    told = found.to_dict(include_self_link=False)
    names = [
        str(one["name"]) for one in told.get("providers") or () if isinstance(one, dict) and one.get("name")
    ]
    words = [str(told.get("license") or ""), ", ".join(names)]
    return "; ".join(one for one in words if one)


def _absolute(item: Item) -> Item:
    """Give an item whose assets have whole addresses."""
    links = item.get("links")
    own = next(
        (
            str(one.get("href"))
            for one in (links if isinstance(links, list) else ())
            if isinstance(one, dict) and one.get("rel") == "self"
        ),
        "",
    )
    assets = item.get("assets")
    made = {
        key: {**asset, "href": urljoin(own, str(asset.get("href", "")))}
        for key, asset in (assets.items() if isinstance(assets, dict) else ())
        if isinstance(asset, dict)
    }
    return {**item, "assets": made}


def _no_catalogue(catalogue: Catalogue, what: str) -> InputError:
    mend = "Check the address with --catalog, or name another catalogue."
    return InputError(what, where=catalogue.name, mend=mend, code=WORLD)


def _refused(catalogue: Catalogue, error: APIError) -> InputError:
    """Say in words why a catalogue gave no answer."""
    text = str(error)
    status = getattr(error, "status_code", None)
    if status is None and (found := _STATUS.search(text)):
        status = int(found[1])
    if status is not None:
        what, mend = of_status(status)
    elif "timed out" in text.lower():
        what, mend = "no answer came in time", "Run again later; what is there keeps working."
    elif "certificate" in text.lower():
        what = "its certificate is not trusted here, so nothing was sent"
        mend = "Check the clock of this computer and the address."
    elif re.search("ProxyError|Proxy URL|SOCKS support", text):
        what = "the proxy of this network does not let the request through"
        mend = "Check HTTPS_PROXY and NO_PROXY, and run again; what is in the folder keeps working without."
    elif "redirects" in text:
        what, mend = "its address leads around in a circle", "Check the address with --catalog."
    elif "codec can't decode" in text or "failed to decode" in text:
        return _no_catalogue(catalogue, "it answered with what is no STAC")
    elif any(one in text for one in ("no place on the network", "more requests", "more than")):
        what, mend = f"it answered with {text}", "Name another catalogue, or ask for fewer days."
    else:
        what = "it cannot be reached from here"
        mend = "Check the network and run again; what is in the folder keeps working without."
    return InputError(what, where=catalogue.name, mend=mend, code=WORLD)
