"""Asking a service over the network: one request at a time, politely, within bounds. Knows no data.

The loop over tries is ours and not the library's: so each try counts against the limit of a call, a body that
breaks off is asked for again like an answer that never came, and a service that asks for a long wait is left
alone at once instead of being waited for.
"""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import urljoin, urlsplit

import requests
from requests import exceptions as of_requests
from urllib3 import exceptions as of_urllib3
from urllib3.util import Retry

from zoning import __version__
from zoning.errors import WORLD, InputError
from zoning.evidence import number
from zoning.fetch import addresses

AGENT = f"sprayworth/{__version__}"  # the program, and no person
AGAIN = "What came before is kept: run again later, and only the rest is asked for."
_LATER = "Nothing was changed, and what is there is still used: run again when there is a network."
_MOVED = (301, 302, 303, 307, 308)
_TOO_MANY, _BROKEN = 429, 500
_PIECE = 65_536  # bytes that are taken at most at once


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a service may take, and what is asked of it; waits and times in seconds."""

    connect_s: float
    silent_s: float
    whole_s: float
    most_bytes: int
    tries: int
    wait_first_s: float
    wait_most_s: float

    @staticmethod
    def usual() -> "Bounds":
        """Give those of the evidence."""
        return Bounds(
            connect_s=number("fetch.connect_within_s"),
            silent_s=number("fetch.answer_within_s"),
            whole_s=number("fetch.whole_answer_within_s"),
            most_bytes=int(number("fetch.answer_most_bytes")),
            tries=1 + int(number("fetch.tries_more")),
            wait_first_s=number("fetch.wait_s"),
            wait_most_s=number("fetch.wait_most_s"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a service said: the status, what it calls the content (in small letters), and the content."""

    status: int
    kind: str
    body: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trouble:
    """Why there is no answer; `wait_s` is what the service asks for, None where it does not say."""

    fault: InputError
    is_passing: bool = True
    wait_s: float | None = None


class _Plain(requests.Session):
    """Looks nowhere else by itself: the library reads where an answer leads even if it is not to follow."""

    def get_redirect_target(self, resp: requests.Response) -> None:
        """Lead nowhere."""


class Session:
    """Asks one service after the other, and counts.

    Parameters
    ----------
    most_requests : int
        More are not made, tries that failed and addresses that moved included.
    bounds : Bounds, optional
        Else the usual ones.
    wait : callable
        Waits for some seconds.
    since : callable
        Seconds from a fixed moment on.
    """

    def __init__(
        self,
        most_requests: int,
        *,
        bounds: Bounds | None = None,
        wait: Callable[[float], None] | None = None,
        since: Callable[[], float] = time.monotonic,
    ) -> None:
        self.asked = 0
        self._most, self._bounds = most_requests, bounds or Bounds.usual()
        self._wait, self._since = wait or time.sleep, since
        self._session = _Plain()
        self._session.headers.update({"User-Agent": AGENT, "Accept-Encoding": "identity"})
        self._session.auth = _as_it_is  # else the library would send what stands in a .netrc of the user

    def get(self, address: str, query: Mapping[str, str], called: str) -> Answer:
        """Ask for something; come back with an answer of status 2xx or 4xx.

        Parameters
        ----------
        address : str
            Where; see `addresses.clean`.
        query : mapping of str to str
            What.
        called : str
            How the user calls the service.

        Raises
        ------
        InputError
            Code 4: no network, a service that is down, slow or has enough of us, an answer that breaks off or
            does not end, an address that leads elsewhere.
        """
        bounds, pause_s, left = self._bounds, self._bounds.wait_first_s, self._bounds.tries
        while True:
            found = self._once(address, query, called)
            if isinstance(found, Answer):
                return found
            left -= 1
            wait_s = pause_s if found.wait_s is None else found.wait_s
            if left <= 0 or not found.is_passing or wait_s > bounds.wait_most_s:
                raise found.fault
            self._wait(wait_s)
            pause_s = min(2 * pause_s, bounds.wait_most_s)

    def _once(self, address: str, query: Mapping[str, str], called: str) -> Answer | _Trouble:
        """Ask once, following an address that moved on its own host."""
        for _ in _MOVED:
            found = self._one(address, query, called)
            if not isinstance(found, str):
                return found
            if addresses.host(found) != addresses.host(address):
                raise _fault(called, f"it leads to another host, {addresses.without_secrets(found)}", AGAIN)
            address, query = found, {}
        raise _fault(called, "its address leads around in a circle", AGAIN)

    def _one(self, address: str, query: Mapping[str, str], called: str) -> Answer | _Trouble | str:
        """Send one request; a text is the address that it moved to."""
        if self.asked >= self._most:
            what = f"{self.asked} requests were made, the most of one call"
            raise _fault(called, what, AGAIN)
        self.asked += 1
        bounds, began = self._bounds, self._since()
        try:
            with self._session.get(
                address,
                params=dict(query),
                timeout=(bounds.connect_s, bounds.silent_s),
                stream=True,
                allow_redirects=False,
            ) as response:
                if response.status_code in _MOVED and "Location" in response.headers:
                    return _onward(address, response.headers["Location"])
                body = self._body(response, began, called)
                if isinstance(body, _Trouble):
                    return body
                return _judged(response, body, called)
        except (of_requests.RequestException, of_urllib3.HTTPError) as error:
            return _unreached(error, called, urlsplit(address).hostname or "")

    def _body(self, response: requests.Response, began: float, called: str) -> bytes | _Trouble:
        """Take the content piece by piece, so that neither its size nor its time is endless."""
        bounds, body = self._bounds, bytearray()
        while piece := response.raw.read1(_PIECE, decode_content=True):
            body += piece
            if len(body) > bounds.most_bytes:
                what = f"the service answered with more than {bounds.most_bytes:,} bytes"
                raise _fault(called, what, "Ask for less, or another service.")
            if self._since() - began > bounds.whole_s:
                return _Trouble(fault=_slow(called))
        return bytes(body)


def _as_it_is(request: requests.PreparedRequest) -> requests.PreparedRequest:
    return request


def _onward(address: str, location: str) -> str:
    """Give the address that an answer leads to; one that is none is of no host."""
    try:
        return urljoin(address, location)
    except ValueError:
        return ""


def _judged(response: requests.Response, body: bytes, called: str) -> Answer | _Trouble:
    """Tell an answer from a service that is busy or broken."""
    status = response.status_code
    wait_s = _asked_wait_s(response.headers.get("Retry-After"))
    soon = "" if wait_s is None else f", and asks to wait {wait_s:.0f} s"
    if status == _TOO_MANY:
        return _Trouble(
            fault=_fault(called, f"the service has had enough requests for now (429){soon}", AGAIN),
            wait_s=wait_s,
        )
    if status >= _BROKEN:
        return _Trouble(
            fault=_fault(called, f"the service is out of order ({status}){soon}", AGAIN), wait_s=wait_s
        )
    kind = response.headers.get("Content-Type", "").partition(";")[0].strip().lower()
    return Answer(status=status, kind=kind, body=body)


def _asked_wait_s(told: str | None) -> float | None:
    """Read how long a service asks to wait: seconds, or a time; nonsense is nothing."""
    try:
        return None if told is None else Retry().parse_retry_after(told)
    except (of_urllib3.InvalidHeader, ValueError, OverflowError):
        return None


def _unreached(error: Exception, called: str, host: str) -> _Trouble:
    """Say why a service was not reached, or did not answer to the end."""
    reasons = tuple(_reasons(error))
    if any(isinstance(one, of_requests.SSLError | of_urllib3.SSLError) for one in reasons):
        mend = "Check the clock of this computer and who stands between it and the network; then run again."
        fault = _fault(called, f"the certificate of {host} is not trusted", mend)
        return _Trouble(fault=fault, is_passing=False)
    if any(isinstance(one, of_urllib3.NameResolutionError) for one in reasons):
        what = f"there is no network here, or no host {host}"
        return _Trouble(fault=_fault(called, what, _LATER), is_passing=False)
    if any(isinstance(one, of_requests.ProxyError | of_urllib3.ProxyError) for one in reasons):
        what = "the proxy of this network does not let the request through"
        return _Trouble(fault=_fault(called, what, _LATER), is_passing=False)
    if any(isinstance(one, of_urllib3.NewConnectionError | ConnectionRefusedError) for one in reasons):
        return _Trouble(fault=_fault(called, f"{host} refuses the connection, or cannot be reached", _LATER))
    if any(isinstance(one, of_requests.Timeout | of_urllib3.TimeoutError) for one in reasons):
        return _Trouble(fault=_slow(called))
    if any(isinstance(one, of_urllib3.ProtocolError) for one in reasons):
        return _Trouble(fault=_broken_off(called))
    return _Trouble(fault=_fault(called, f"{host} gave no answer that can be read", AGAIN))


def _reasons(error: BaseException | None) -> list[BaseException]:
    """List an error with those that it was made of."""
    found: list[BaseException] = []
    waiting = [error]
    while waiting:
        one = waiting.pop()
        if isinstance(one, BaseException) and one not in found:
            found.append(one)
            waiting += [one.__cause__, getattr(one, "reason", None)]
            waiting += [inner for inner in one.args if isinstance(inner, BaseException)]
    return found


def _slow(called: str) -> InputError:
    return _fault(called, "the service did not answer in time", AGAIN)


def _broken_off(called: str) -> InputError:
    return _fault(called, "the answer broke off in the middle", AGAIN)


def _fault(called: str, what: str, mend: str) -> InputError:
    return InputError(what, where=called, mend=mend, code=WORLD)
