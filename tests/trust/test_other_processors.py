"""A plan does not depend on the processor: the same decisions, and the same page to the byte."""

import platform
import subprocess
import sys

import pytest
from compared import differences
from made_demo import three_dates
from read_results import results
from surroundings import PROCESSES, environment, narrow, worked


@pytest.mark.skipif(
    platform.machine() not in ("x86_64", "AMD64"), reason="other processors are simulated on x86"
)
def test_an_old_processor_decides_the_same(tmp_path):
    plain = PROCESSES[0]
    process = {**plain, **narrow(sys.executable, environment(plain))}
    asked = (
        "import numpy, threadpoolctl; "
        "print({one.get('architecture') for one in threadpoolctl.threadpool_info()})"
    )
    command = [sys.executable, "-W", "ignore", "-c", asked]
    said = subprocess.run(command, env=environment(process), capture_output=True, text=True, check=True)
    assert "Nehalem" in said.stdout
    fields = [three_dates(tmp_path / name) for name in ("here", "old")]
    for field, one in zip(fields, (plain, process), strict=True):
        run = {
            "arguments": ["run", str(field), "--quiet"],
            "zone": "UTC",
            "umask": 0o022,
            "cwd": "/",
            "seed": 0,
        }
        worked([run], one)
    here, old = (field.parent for field in fields)
    wrong = [one.line() for one in differences(here, old) if one.told == "differs"]
    assert not wrong
    assert len(results(here)) > 20
    page = "three_dates/out/page.html"
    assert results(here)[page] == results(old)[page]
