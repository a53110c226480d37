"""A farm with processes that start afresh, as on Windows and macOS, against one process: the same bytes.

    python tests/trust/witness_spawn.py

Takes a minute. Prints one line; ends with 0 where every file of the farm and its fields is the same, else 1.
"""

import hashlib
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
# As a system that has no other way to start processes; in the started ones too, which run this file again.
SPAWNED = """import multiprocessing, sys
multiprocessing.get_all_start_methods = lambda: ["spawn"]
from cli.main import main
if __name__ == "__main__":
    main(["farm", sys.argv[1], "--workers", sys.argv[2], "--quiet"])
"""


def made(farm: Path, workers: int) -> dict[str, str]:
    """Plan a farm anew; what its results hold, by their names."""
    script = farm.parent / "spawned.py"
    script.write_text(SPAWNED, encoding="utf-8", newline="\n")
    for out in [*farm.glob("out*"), *farm.glob("*/out*")]:
        shutil.rmtree(out)
    command = [sys.executable, str(script), str(farm), str(workers)]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    files = [path for out in (farm / "out", *farm.glob("*/out")) for path in out.rglob("*") if path.is_file()]
    return {str(path.relative_to(farm)): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def main() -> int:
    """Plan with two processes and with one, and compare."""
    with tempfile.TemporaryDirectory() as folder:
        farm = Path(folder) / "heron_slough"
        left_out = shutil.ignore_patterns("out*")
        shutil.copytree(ROOT / "demo_fields" / "heron_slough", farm, ignore=left_out)
        made(farm, 1)  # lays the check strips, which are an input from then on
        one, two = made(farm, 1), made(farm, 2)
    differ = sorted(name for name in one.keys() | two.keys() if one.get(name) != two.get(name))
    print(f"{len(one)} files with one process and with two that were spawned; differ: {differ or 'none'}")
    return 1 if differ or not one else 0


if __name__ == "__main__":
    sys.exit(main())
