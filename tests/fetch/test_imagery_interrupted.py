"""Ctrl-C while files are asked for: it ends at once, and the next run goes on."""

import os
import signal
import subprocess
import sys
import time

import made_catalogue
import pytest
from made_catalogue import TILE, scene

SOON_S = 8.0  # a slow answer is waited for longer


@pytest.mark.parametrize(("file", "said"), [("scl", "looking at 3"), ("red", "reading 3")])
def test_an_answer_that_does_not_come_is_not_waited_for(made, field, get, monkeypatch, file, said):
    if os.name == "nt":
        pytest.skip("a signal is sent as on Unix")
    monkeypatch.setattr(made_catalogue, "SLOW_S", 3 * SOON_S)
    for day in ("2026-06-05", "2026-06-11", "2026-06-16"):
        item = scene(made, TILE, day)
        made.ways[f"/files/{item['id']}/{file}.tif"] = "slow"
    words = ["get", "imagery", field, "--from", "2026-06-01", "--to", "2026-06-30", "--catalog", made.address]
    began = [sys.executable, "-c", "from cli.main import main; main()", *map(str, words)]
    with subprocess.Popen(began, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        for line in process.stderr:
            if line.startswith(said):
                break
        time.sleep(0.5)
        process.send_signal(signal.SIGINT)
        pressed = time.monotonic()
        out, err = process.communicate(timeout=6 * SOON_S)
    assert time.monotonic() - pressed < SOON_S
    assert (process.returncode, out) == (130, "")
    assert err.splitlines()[-1] == "interrupted"
    assert not list(field.rglob("*.tif"))
    made.ways.clear()
    assert len(get().named) == 3
