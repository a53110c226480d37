"""Scripts of the page run by node, outside any browser; tests with it are skipped where there is no node."""

import json
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

import zoning.show.page

SCRIPTS = Path(zoning.show.page.__file__).parent / "js"


def evaluate(names: Sequence[str], expression: str, given: object) -> object:
    """Value of an expression after some scripts; `given` is handed in and the value comes back as JSON."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed")
    source = "\n".join((SCRIPTS / f"{name}.js").read_text(encoding="utf-8") for name in names)
    program = (
        "const given = JSON.parse(require('fs').readFileSync(0, 'utf8'));"
        f"{source}\nconsole.log(JSON.stringify({expression}));"
    )
    done = subprocess.run(
        [node, "--input-type=commonjs", "-e", program],
        input=json.dumps(given),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
