"""`sprayworth desk`: the address is printed, and the browser opens beside the desk."""

import threading

from click.testing import CliRunner

from cli import desk
from cli.main import commands
from zoning.desk import served

ADDRESS = "http://127.0.0.1:4711/?token=x"
ONCE = "http://127.0.0.1:4711/?token=y"  # other users of the computer see how a browser was started


def started(monkeypatch, folder, *options):
    """Run the command with a desk that ends at once, and a browser that comes back only after it."""
    ran, asked, back = threading.Event(), [], threading.Event()

    def browse(address):
        asked.append(address)
        if ran.wait(20):
            back.set()

    monkeypatch.setattr(desk.webbrowser, "open", browse)
    monkeypatch.setattr(
        served, "serve", lambda *_: served.Served(address=ADDRESS, address_once=ONCE, run=ran.set)
    )
    found = CliRunner().invoke(commands, ["desk", str(folder), *options])
    assert found.exit_code == 0, found.output
    assert found.stdout == f"{ADDRESS}\n"
    return asked, back


def test_a_browser_that_stays_in_the_terminal_keeps_no_desk_waiting(monkeypatch, tmp_path):
    asked, back = started(monkeypatch, tmp_path)
    assert back.wait(20)
    assert asked == [ONCE]


def test_without_a_browser_only_the_address_is_printed(monkeypatch, tmp_path):
    asked, _ = started(monkeypatch, tmp_path, "--no-browser")
    assert asked == []
