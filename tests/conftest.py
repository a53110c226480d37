"""How properties are tried, that Ctrl-C is heard, and the browser in which pages are opened.

Properties are tried on the same examples in every run, new ones on request.
"""

import signal

import browser
import pytest
from hypothesis import settings

# A run is judged by what was changed in it, so chance stays out. To hunt: pytest --hypothesis-profile=search
# No test is timed: a loaded machine makes none fail.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("search", derandomize=False, deadline=None)
settings.load_profile("repeatable")

# A script's shell starts its jobs in the background deaf to Ctrl-C, and what they start would be deaf too.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(scope="session")
def chromium():
    """One browser for all tests that ask for it."""
    path = browser.chromium()
    if path is None:
        pytest.skip("no Chromium here: install Debian's package chromium, or name one in SPRAYWORTH_CHROMIUM")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def open_page(chromium):
    """Open a page in the browser, its network cut off; see tests/made/browser.py."""
    opener = browser.Opener(chromium)
    yield opener
    opener.close()
