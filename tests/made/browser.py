"""Pages opened in a real browser: Debian's Chromium through Playwright, with the network cut off.

Tests ask for the fixture `open_page` (tests/conftest.py); where there is no Chromium they are skipped with
the reason.
"""

import os
import shutil
from dataclasses import dataclass, field
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
DESK = (1280, 800)
PHONE = (390, 844)
# What a page loads from itself is no request to the outside.
_OWN = ("file:", "data:", "blob:", "about:")


def chromium() -> str | None:
    """Path of the browser, None where there is none; SPRAYWORTH_CHROMIUM names one."""
    named = os.environ.get("SPRAYWORTH_CHROMIUM")
    if named:
        return named if Path(named).is_file() else None
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def axe() -> str | None:
    """Script that checks a page for people who cannot see or point, None where node's package is not had."""
    modules = os.environ.get("SPRAYWORTH_NODE_MODULES")
    script = Path(modules or "", "node_modules", "axe-core", "axe.min.js")
    return script.read_text(encoding="utf-8") if modules and script.is_file() else None


@dataclass
class Opened:
    """A page in the browser, what it asked the outside for, and what it complained about."""

    page: object
    requests: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def check_quiet(self) -> None:
        """Fail where it asked for anything or complained."""
        assert self.requests == []
        assert self.errors == []

    def violations(self, script: str) -> list[str]:
        """Run axe-core on the page; give one line for each violation."""
        # the page's own policy allows no foreign script: the test goes around it
        self.page.evaluate(script)
        found = self.page.evaluate("async () => (await axe.run(document)).violations")
        return [f"{one['id']}: {node['html'][:120]}" for one in found for node in one["nodes"]]


class Opener:
    """Opens files in a browser whose network is cut off."""

    def __init__(self, browser) -> None:
        self._browser = browser
        self._contexts = []

    def __call__(
        self,
        path: Path,
        size: tuple[int, int] = DESK,
        *,
        scripts: bool = True,
        offline: bool = True,
        url: str | None = None,
        before: str = "",
        **more,
    ) -> Opened:
        """Open a file, or an address of this machine (then `offline` must be False); `before` runs first."""
        context = self._browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            java_script_enabled=scripts,
            has_touch=size[0] < 600,
            offline=offline,
            locale="en-US",
            accept_downloads=True,
            **more,
        )
        self._contexts.append(context)
        page = context.new_page()
        if before:
            page.add_init_script(before)
        opened = Opened(page)
        page.on(
            "request",
            lambda one: (
                None
                if one.url.startswith(_OWN) or (url and one.url.startswith(url))
                else opened.requests.append(one.url)
            ),
        )
        page.on("pageerror", lambda fault: opened.errors.append(str(fault)))
        page.on(
            "console",
            lambda told: opened.errors.append(told.text) if told.type in ("error", "warning") else None,
        )
        page.goto(url or path.resolve().as_uri())
        return opened

    def close(self) -> None:
        """Close all that were opened."""
        for context in self._contexts:
            context.close()
        self._contexts.clear()
