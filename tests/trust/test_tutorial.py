"""The tutorial and the README are followed word for word, in a folder like a fresh clone.

Commands are run, files saved, settings filled in and rows taken out as a reader would do it; what is printed
must be what the page shows. Only the lines that install are left out: the program is installed already.
"""

import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest
from followed_pages import filled_in, write
from page_blocks import Block, blocks, matches

ROOT = Path(__file__).parents[2]
TUTORIAL = ROOT / "docs" / "tutorial.md"
README = ROOT / "README.md"
INSTALLS = ("python3 -m venv .venv", ".venv/bin/pip install .", "source .venv/bin/activate")
FOR_CONTRIBUTORS = (".venv/bin/pip install -e '.[test]'", ".venv/bin/pytest")
ON_WINDOWS = "powershell"  # the same commands once more


@pytest.fixture(scope="module")
def clone(tmp_path_factory):
    """The demo farms as a clone has them, and nothing else."""
    folder = tmp_path_factory.mktemp("clone")
    tracked = subprocess.run(
        ["git", "ls-files", "demo_fields"], cwd=ROOT, capture_output=True, check=True, encoding="utf-8"
    )
    for name in tracked.stdout.splitlines():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, folder / name)
    return folder


def run(line: str, folder: Path) -> tuple[int, str]:
    """Run a command line in a shell as a reader would, and give what stands on the screen then."""
    scripts = sysconfig.get_path("scripts")
    path = os.pathsep.join((scripts, str(Path(sys.executable).parent), os.environ["PATH"]))
    done = subprocess.run(
        ["sh", "-c", line],
        cwd=folder,
        env={**os.environ, "PATH": path, "COLUMNS": "120"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
    )
    return done.returncode, done.stdout


class Reader:
    """Follows a page, and remembers what was printed last."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.code, self.printed = 0, ""
        self.ran = self.compared = 0

    def follow(self, block: Block) -> None:
        """Do what the block and the words before it say."""
        if block.language == "sh":
            self._run(block)
        elif block.language == "text":
            assert matches(block.text, self.printed), f"printed:\n{self.printed}"
            self.compared += 1
            self.code = 0 if "error: " in block.text else self.code
        elif block.language in ("toml", "csv", "json"):
            write(block, self.folder)
        else:
            assert block.language == ON_WINDOWS, f"nobody knows what to do with {block.language!r}"

    def _run(self, block: Block) -> None:
        assert self.code == 0, f"the command before ended with {self.code}:\n{self.printed}"
        for line in block.text.splitlines():
            left = [one for one in line.split(" && ") if one not in INSTALLS + FOR_CONTRIBUTORS]
            if left:
                self.code, self.printed = run(" && ".join(left).replace(".venv/bin/", ""), self.folder)
                self.ran += 1


# README first: what its farm command has finished, that of the tutorial need not make again
@pytest.mark.parametrize("page", [README, TUTORIAL], ids=lambda page: page.name)
def test_a_page_is_followed_word_for_word(page, clone):
    reader = Reader(clone)
    for block in blocks(page):
        if block.language == "python":  # run by tests/service/test_types_and_names.py
            continue
        try:
            reader.follow(block)
        except AssertionError as error:
            raise AssertionError(f"{page.name}:{block.line}: {error}") from error
    assert reader.code == 0, reader.printed
    assert reader.ran >= (20 if page is TUTORIAL else 3)
    assert reader.compared >= (15 if page is TUTORIAL else 0)


def test_by_hand_what_is_shown_is_compared_word_for_word():
    printed = "one\ntwo\nthree\n"
    for good in (
        "one\ntwo\nthree\n",
        "...\ntwo\n...\n",
        "one\n...\n",
        "...\nthree\n",
        "...\n",
        "one\n...\nthree",
    ):
        assert matches(good, printed), good
    for bad in (
        "one\n",
        "two\n...\n",
        "...\ntwo\n",
        "one\n...\nthre",
        "...\nthree\n...\ntwo\n...\n",
        "one\nthree",
    ):
        assert not matches(bad, printed), bad


def test_by_hand_settings_are_filled_in_as_a_reader_does():
    file = 'name = ""   # of the farm\n#[money]\n#price = ""\n#pass = ""\n\n#[[sprayer]]\n#pass = ""\n'
    shown = 'name = "A"\n[money]\npass = "9"\n[[sprayer]]\nboom = "90 ft"\n'
    assert filled_in(file, shown) == (
        'name = "A"\n[money]\n#price = ""\npass = "9"\n\n[[sprayer]]\nboom = "90 ft"\n#pass = ""\n'
    )
