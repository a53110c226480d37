"""A desk over a copy of the demo field, asked without a network."""

import asyncio
import json
import shutil
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from zoning.desk.app import app
from zoning.desk.opened import Opened, opened
from zoning.desk.running import How, Runner
from zoning.desk.trust import Keys

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
PORT = 4711
HERE = f"http://127.0.0.1:{PORT}"
TODAY = date(2026, 7, 8)  # the demo's own
WHO = "A. Scout"


def demo_farm(folder: Path, *fields: str) -> Path:
    """Copy the demo farm with some of its fields, without results."""
    folder.mkdir(parents=True)
    for path in DEMO.iterdir():
        if path.is_file():
            shutil.copy(path, folder / path.name)
    for name in fields:
        shutil.copytree(DEMO / name, folder / name, ignore=shutil.ignore_patterns("out", "strips"))
    return folder


def planned(folder: Path) -> None:
    """Run one field by itself, and write all that a run writes."""
    from zoning import field as one_field

    one_field.write(one_field.run(folder), folder / "out")


@dataclass
class Clock:
    """A clock that a test sets; each look takes a second."""

    now: datetime = datetime(2026, 7, 9, 14, 15)

    def __call__(self) -> datetime:
        self.now = self.now.replace(second=(self.now.second + 1) % 60)
        return self.now


class Client:
    """A browser without windows: asks the desk without a network, and keeps its cookies."""

    def __init__(self, app) -> None:
        import httpx

        self._app, self.cookies = app, httpx.Cookies()

    def request(self, method: str, path: str, **more):
        """Ask once; what the desk answers is read whole."""
        import httpx

        async def ask():
            there = httpx.ASGITransport(app=self._app)
            async with httpx.AsyncClient(transport=there, base_url=HERE, cookies=self.cookies) as client:
                answer = await client.request(method, path, **more)
                self.cookies.update(client.cookies)
                return answer

        with ThreadPoolExecutor(1) as aside:  # where a browser is open, this thread has a loop already
            return aside.submit(lambda: asyncio.run(ask())).result()

    def get(self, path: str, **more):
        return self.request("GET", path, **more)

    def post(self, path: str, **more):
        return self.request("POST", path, **more)


@dataclass
class Desk:
    """A desk and its browser: `client` has been let in."""

    folder: Path
    alone: bool = False
    clock: Clock = field(default_factory=Clock)

    def __post_init__(self) -> None:
        self.home: Opened = opened(self.folder)
        self.how = How(today=None, clock=self.clock, alone=self.alone, who=WHO)
        self.keys = Keys(port=PORT)
        self.runner = Runner(self.home, self.how)
        self.app = app(self.home, self.how, self.keys, self.runner)
        self.client = Client(self.app)
        self.client.get(f"/?token={self.keys.token}")

    def at(self, path: str, number: int = 1) -> str:
        """Path of a request about a field."""
        return f"/{self.keys.place}/field/{number}/{path}"

    def get(self, path: str, number: int = 1, **more):
        return self.client.get(self.at(path, number), **more)

    def post(self, path: str, thing: object, number: int = 1, **headers: str):
        """Ask as the desk's own page does."""
        given = {"origin": HERE, "content-type": "application/json"} | headers
        return self.client.post(self.at(path, number), content=json.dumps(thing), headers=given)

    def run(self, number: int = 1) -> dict:
        """Run again, wait, and give how it ended."""
        assert self.post("run", {}, number).status_code == 202
        assert self.runner.wait(120.0)
        return self.get("progress", number).json()

    def plan(self, name: str = "") -> dict:
        return json.loads((self.folder / name / "out" / "plan.json").read_text(encoding="utf-8"))

    def log(self) -> list[dict]:
        path = self.folder / "overrides.jsonl"
        text = path.read_text(encoding="utf-8") if path.exists() else ""
        return [json.loads(line) for line in text.splitlines()]


def listing(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its content."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def wait_for(what, patience_s: float = 60.0) -> None:
    """Wait until something is true."""
    end = time.monotonic() + patience_s
    while not what():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.05)
