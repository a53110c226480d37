"""The requests that the desk answers. What is asked by GET changes nothing; every path is a fixed name.

No name of a file comes from the browser: fields go by their number, earlier plans by a name of the list.
"""

from collections.abc import Callable, Mapping
from datetime import date
from functools import partial
from html import escape
from typing import TYPE_CHECKING, Any

from zoning.desk import asked, farm_list, last_plan, page
from zoning.desk.changes import CHANGES
from zoning.desk.log import Log
from zoning.desk.opened import Opened, content
from zoning.desk.running import How, Runner
from zoning.desk.trust import App, Keys, Trust
from zoning.errors import SETTINGS, InputError

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

_CODES = {2: 409, 3: 422, 4: 503}  # by the exit code that a fault would have
Make = Callable[[Log, Mapping[str, Any], date], str]


def app(home: Opened, how: How, keys: Keys, runner: Runner) -> App:
    """Put the requests together, behind what checks who asks.

    Parameters
    ----------
    home : Opened
    how : How
    keys : Keys
        What this start is known by.
    runner : Runner
        Of the same folder.
    """
    # imported late: only the desk needs the extra that brings it
    from starlette.applications import Starlette
    from starlette.routing import Mount, Router

    known = Router(routes=_Desk(home, how, runner).routes(), redirect_slashes=False)
    handlers = {InputError: _of_error, asked.TooLargeError: _refused, asked.NoJsonError: _refused}
    return Trust(Starlette(routes=[Mount(f"/{keys.place}", app=known)], exception_handlers=handlers), keys)


class _Desk:
    def __init__(self, home: Opened, how: How, runner: Runner) -> None:
        self._home, self._how, self._runner = home, how, runner
        # changes of inputs, with how many runs of the field had come through before each
        self._changed: dict[int, list[tuple[int, str]]] = {}

    def routes(self) -> "list[Route]":
        from starlette.routing import Route

        at = "/field/{number:int}/"
        return [
            Route("/", self._first, methods=["GET"]),
            Route("/farm/", self._farm, methods=["GET"]),
            Route(at, self._page, methods=["GET"]),
            Route(f"{at}progress", self._progress, methods=["GET"]),
            Route(f"{at}state", self._state, methods=["GET"]),
            Route(f"{at}compare", self._compare, methods=["GET"]),
            Route(f"{at}run", self._run, methods=["POST"]),
            *(
                Route(f"{at}{name}", partial(self._change, make), methods=["POST"])
                for name, make in CHANGES.items()
            ),
        ]

    # -- what is shown ---------------------------------------------------------------------------------------

    async def _first(self, _request: "Request") -> "Response":
        from starlette.concurrency import run_in_threadpool
        from starlette.responses import RedirectResponse

        if not self._home.is_farm:
            return RedirectResponse("field/1/", status_code=303)
        inner = await run_in_threadpool(farm_list.inner, self._home)
        return _html(page.plain(self._home.root.name, inner), page.plain_policy())

    async def _farm(self, _request: "Request") -> "Response":
        """Show the map and calendar of all fields, where a run of the farm made them."""
        from starlette.concurrency import run_in_threadpool

        return _html(await run_in_threadpool(self._farm_text), page.farm_policy())

    def _farm_text(self) -> str:
        raw = content(self._home.inside(self._home.root / "out" / "farm.html")) if self._home.is_farm else b""
        names = [one.name for one in self._home.fields]
        text = page.of_farm(raw.decode("utf-8", errors="replace"), names) if raw else None
        if text is None:
            what = "the page of the farm is of another version" if raw else "there is no page of the farm"
            mend = "Run a field of the farm again: it plans them all."
            raise InputError(what, where="out/farm.html", mend=mend, code=SETTINGS)
        return text

    async def _page(self, request: "Request") -> "Response":
        from starlette.concurrency import run_in_threadpool

        folder = self._folder(request)
        if folder is None:
            return _told(404, ["there is no such field"])
        text = await run_in_threadpool(self._text, folder)
        if text is not None:
            return _html(text, page.content_policy())
        return _html(page.plain(folder.name, _waiting(folder.name)), page.plain_policy())

    def _text(self, folder: "Path") -> str | None:
        raw = content(self._home.inside(folder / "out" / "page.html"))
        return page.with_desk(raw.decode("utf-8", errors="replace")) if raw else None

    async def _progress(self, request: "Request") -> "Response":
        from starlette.responses import JSONResponse

        folder = self._folder(request)
        if folder is None:
            return _told(404, ["there is no such field"])
        told = self._runner.progress()
        return JSONResponse(
            {
                "running": told.running,
                "steps": list(told.steps),
                "faults": list(told.faults),
                "made": told.made,
                "changed": told.changed,
                "has_page": (folder / "out" / "page.html").is_file(),
            }
        )

    async def _state(self, request: "Request") -> "Response":
        """Tell what the desk's part of the page shows besides the plan."""
        return await self._answer(request, self._state_of)

    def _state_of(self, folder: "Path", request: "Request") -> Mapping[str, Any]:
        from zoning.desk import counts, history, zones

        log = self._runner.log_of(folder)
        number = request.path_params["number"]
        runs = self._runner.runs_of(number)
        earlier = history.kept(self._home, folder)
        plan = last_plan.of_field(self._home, folder)
        return {
            "is_farm": self._home.is_farm,
            "today": self._how.day(folder).isoformat(),
            "counts": counts.listed(folder),
            "history": [{"name": one.name, "until": one.until.isoformat(" ", "minutes")} for one in earlier],
            "by_hand": zones.steps_by_hand(log),
            "most_zones": zones.most_zones(folder),
            "waiting": [said for made, said in self._changed.get(number, []) if made == runs],
            "shared": plan is not None and plan.is_of_farm,
        }

    async def _compare(self, request: "Request") -> "Response":
        from zoning.desk import history

        name = request.query_params.get("with")
        return await self._answer(
            request, lambda folder, _request: history.compared(self._home, folder, name)
        )

    # -- what is changed -------------------------------------------------------------------------------------

    async def _run(self, request: "Request") -> "Response":
        number = request.path_params["number"]
        if self._folder(request) is None:
            return _told(404, ["there is no such field"])
        await asked.body(request)
        self._runner.start(number)
        return _told(202, ["the run has begun"])

    async def _change(self, make: Make, request: "Request") -> "Response":
        from starlette.concurrency import run_in_threadpool

        folder = self._folder(request)
        if folder is None:
            return _told(404, ["there is no such field"])
        whole = await asked.body(request)
        log = self._runner.log_of(folder)
        said = await run_in_threadpool(self._runner.change, lambda: make(log, whole, self._how.day(folder)))
        number = request.path_params["number"]
        self._changed.setdefault(number, []).append((self._runner.runs_of(number), said))
        return _told(200, [said])

    async def _answer(
        self, request: "Request", find: "Callable[[Path, Request], Mapping[str, Any]]"
    ) -> "Response":
        from starlette.concurrency import run_in_threadpool
        from starlette.responses import JSONResponse

        folder = self._folder(request)
        if folder is None:
            return _told(404, ["there is no such field"])
        return JSONResponse(await run_in_threadpool(find, folder, request))

    def _folder(self, request: "Request") -> "Path | None":
        number = request.path_params["number"]
        return self._home.fields[number - 1] if 1 <= number <= len(self._home.fields) else None


# -- answers -------------------------------------------------------------------------------------------------


def _html(text: str, policy: str) -> "Response":
    from starlette.responses import HTMLResponse

    return HTMLResponse(text, headers={"content-security-policy": f"{policy}; frame-ancestors 'none'"})


def _told(status: int, lines: list[str]) -> "Response":
    from starlette.responses import JSONResponse

    return JSONResponse({"lines": lines}, status_code=status)


def _of_error(request: "Request", error: Exception) -> "Response":
    """Say what is wrong: in a page where a person looks, else for the page's script."""
    from starlette.responses import HTMLResponse

    faults = error.faults if isinstance(error, InputError) else ()
    status = _CODES.get(error.code, 422) if isinstance(error, InputError) else 422
    lines = [str(fault) for fault in faults]
    if "text/html" not in request.headers.get("accept", ""):
        return _told(status, lines)
    text = page.plain("sprayworth", "".join(f'<p class="fault">{escape(line)}</p>' for line in lines))
    return HTMLResponse(text, status, headers={"content-security-policy": page.plain_policy()})


def _refused(_request: "Request", error: Exception) -> "Response":
    if isinstance(error, asked.TooLargeError):
        return _told(413, ["this is more than the desk takes"])
    return _told(415, ["the desk takes one JSON object"])


def _waiting(name: str) -> str:
    return (
        f"<h1>{escape(name)}</h1>\n<p>This field is planned for the first time, or by a new version.</p>\n"
        '<div id="steps" role="status">starting ...</div>\n'
        "<noscript>Allow scripts, and load it again.</noscript>\n"
        '<p><button type="button" id="again" hidden>Try again</button></p>'
    )
