"""Who may ask: the browser of this computer, with the address that the command printed, and no other page.

A web page from elsewhere may send requests to any computer that shows it, this one too. It knows neither the
token nor the place under which the desk lies, its browser names it in `Origin`, and a name of its own that it
makes lead here stands in `Host`.
"""

import hmac
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

COOKIE = "desk"
_READS = ("GET", "HEAD")
_ALWAYS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
NOTHING = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"


def _secret() -> str:
    return secrets.token_urlsafe(32)


@dataclass(frozen=True, slots=True, kw_only=True)
class Keys:
    """What the desk of one start is known by. The cookie goes to `place` only, not to other ports.

    `once` lets in once: programs are started with it, and other users of the computer see how programs were
    started.
    """

    port: int
    token: str = field(default_factory=_secret)
    once: str = field(default_factory=_secret)
    place: str = field(default_factory=_secret)

    @property
    def address(self) -> str:
        """What people may open, as often as they like."""
        return self._address(self.token)

    @property
    def address_once(self) -> str:
        """What the browser is started with."""
        return self._address(self.once)

    def _address(self, token: str) -> str:
        return f"http://127.0.0.1:{self.port}/?token={token}"

    @property
    def hosts(self) -> tuple[str, str]:
        """What a request may call this computer."""
        return f"127.0.0.1:{self.port}", f"localhost:{self.port}"


class Trust:
    """Lets through what may ask, and puts the headers of a careful page on every answer."""

    def __init__(self, app: App, keys: Keys) -> None:
        self._app, self._keys = app, keys
        self._is_spent = False  # the key that lets in once

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return
        headers = {name.decode("latin-1").lower(): text.decode("latin-1") for name, text in scope["headers"]}

        async def careful(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name.lower() for name, _ in message["headers"]}
                more = _ALWAYS | {"content-security-policy": NOTHING}
                message["headers"] = [
                    *message["headers"],
                    *(
                        (name.encode(), text.encode())
                        for name, text in more.items()
                        if name.encode() not in own
                    ),
                ]
            await send(message)

        if headers.get("host") not in self._keys.hosts:
            await _plain(careful, 421, "This computer is not called that here.")
        elif scope["path"] == "/" and scope["method"] == "GET":
            await self._enter(scope, careful)
        elif not self._knows_token(headers.get("cookie", "")):
            await _plain(careful, 403, "Open the address that the command printed.")
        elif scope["method"] not in _READS and not _from_here(headers):
            await _plain(careful, 403, "Only the desk's own page may change anything.")
        else:
            await self._app(scope, receive, careful)

    def _knows_token(self, cookies: str) -> bool:
        try:
            found = SimpleCookie(cookies).get(COOKIE)
        except CookieError:
            return False
        return found is not None and hmac.compare_digest(found.value.encode(), self._keys.token.encode())

    async def _enter(self, scope: Scope, send: Send) -> None:
        """Take the token out of the address and into a cookie, so that it stands in no list of pages."""
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
        if not self._lets_in(given.encode()):
            await _plain(send, 403, "Open the address that the command printed.")
            return
        place = f"/{self._keys.place}/"
        cookie = f"{COOKIE}={self._keys.token}; Path={place}; HttpOnly; SameSite=Strict"
        await _plain(send, 303, "", location=place, **{"set-cookie": cookie})

    def _lets_in(self, token: bytes) -> bool:
        if hmac.compare_digest(token, self._keys.token.encode()):
            return True
        is_once = hmac.compare_digest(token, self._keys.once.encode()) and not self._is_spent
        self._is_spent |= is_once
        return is_once


def _from_here(headers: dict[str, str]) -> bool:
    """Tell whether a page of ours sent a request: browsers name the sender whenever something is changed."""
    site = headers.get("sec-fetch-site", "same-origin")
    return headers.get("origin") == f"http://{headers['host']}" and site == "same-origin"


async def _plain(send: Send, status: int, text: str, **more: str) -> None:
    headers = {"content-type": "text/plain; charset=utf-8"} | more
    start = [(name.encode(), value.encode()) for name, value in headers.items()]
    await send({"type": "http.response.start", "status": status, "headers": start})
    await send({"type": "http.response.body", "body": f"{text}\n".encode()})
