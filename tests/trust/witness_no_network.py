"""Run every command with nothing but this computer: watched from outside, libraries in C included.

    python tests/trust/witness_no_network.py

The commands run in a namespace without network (`unshare -rn`), under `strace`, which lists each connection
that any of their processes tries. Prints one line; ends with 0 where none was tried, 1 where one was, 2 where
this machine has no `unshare` or `strace`.
"""

import json
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))
import every_command

ASKS = re.compile(
    r"connect\(\d+, \{sa_family=(AF_INET6?|AF_NETLINK|AF_PACKET)\b.*|sendto\(\d+,.*sa_family=AF_INET.*"
)


PROOF = "import socket; socket.socket().connect_ex(('127.0.0.1', 9))"  # that a connection would be seen


def traced(folder: Path, *python: str) -> tuple[subprocess.CompletedProcess[str], list[str]]:
    """Run a Python in a namespace without network; what it and its processes connected to."""
    lines = folder / "traced"
    watch = (
        "unshare",
        "-rn",
        "strace",
        "-f",
        "-qq",
        "-s",
        "120",
        "-e",
        "trace=connect,sendto",
        "-o",
        str(lines),
    )
    env = every_command.environment(folder, folder / "watched.jsonl")
    if python[-1] == PROOF:
        env.pop("WATCHED")
    command = [*watch, sys.executable, "-c", *python]
    done = subprocess.run(command, capture_output=True, text=True, cwd=folder, env=env, check=False)
    return done, lines.read_text(encoding="utf-8").splitlines() if lines.exists() else []


def main() -> int:
    """Run and tell."""
    missing = [name for name in ("unshare", "strace") if shutil.which(name) is None]
    if missing:
        print(f"not watched: {' and '.join(missing)} not here")
        return 2
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        _, lines = traced(folder, PROOF)
        if not any(ASKS.search(line) for line in lines):
            print("not watched: a connection that was made was not seen")
            return 2
        every_command.copies(folder)
        commands = every_command.commands(folder)
        done, lines = traced(folder, every_command.RUN, json.dumps(commands))
        if done.returncode or not done.stdout:
            print(f"not watched: {done.stderr.strip().splitlines()[-1:]}")
            return 2
    asked = [line for line in lines if ASKS.search(line)]
    failed = [name for name, code, *_ in json.loads(done.stdout) if code != 0]
    for line in asked:
        print(line)
    print(
        f"{len(commands)} commands: {len(asked)} connections to a network tried; failed: {failed or 'none'}"
    )
    return 1 if asked or failed else 0


if __name__ == "__main__":
    sys.exit(main())
