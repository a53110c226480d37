"""The docs and the code agree. Run this file as a program to write docs/reference/commands.md anew."""

import importlib
import re
from pathlib import Path

import click
import pytest

from cli.main import COMMANDS, commands
from zoning import evidence
from zoning.words import SENTENCES

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = [
    "tutorial.md",
    "how-to.md",
    "changelog.md",
    "reference/settings.md",
    "reference/inputs.md",
    "reference/files.md",
    "reference/file_checks.md",
    "reference/trial_files.md",
    "reference/units.md",
    "reference/commands.md",
    "reference/python.md",
    "explanation/stage.md",
    "explanation/zones.md",
    "explanation/returns.md",
    "explanation/passes.md",
    "explanation/strips.md",
    "explanation/yield_points.md",
    "explanation/strip_trials.md",
    "explanation/points_are_no_replicates.md",
    "explanation/season_book.md",
    "explanation/sprayer.md",
    "explanation/practice.md",
    "explanation/evidence.md",
    "explanation/trust.md",
]
COMMANDS_PAGE = DOCS / "reference" / "commands.md"
FIRST_LINES = """# Commands

Results go to standard output, everything else to standard error; `--json` prints one object and nothing else.
Exit codes: 0 done (also when nothing pays), 1 a bug of ours, 2 wrong command line or settings (a missing file
included), 3 bad content of an input file or a failed field of a farm, 4 the world refused (disk, permission),
130 interrupted. `check` ends with 0 when it finds only doubts.

For shell completion, put `eval "$(_SPRAYWORTH_COMPLETE=bash_source sprayworth)"` into your shell's start file
(`zsh_source` for zsh, `fish_source` for fish).

This page is written by `python tests/project/test_docs.py` from the commands' own help.
"""


def commands_page() -> str:
    """Help of every command, as a page."""
    parts = [FIRST_LINES, "```text\n" + _help(commands, "sprayworth") + "\n```\n"]
    for name in COMMANDS:
        command = importlib.import_module(f"cli.{name}").command
        parts.append(f"## {name}\n\n```text\n{_help(command, f'sprayworth {name}')}\n```\n")
        for kind, inner in _kinds(command):
            words = f"{name} {kind}"
            parts.append(f"### {words}\n\n```text\n{_help(inner, f'sprayworth {words}')}\n```\n")
    return "\n".join(parts)


def _kinds(command: click.Command) -> list[tuple[str, click.Command]]:
    """Commands of a command, as those of `get`."""
    if not isinstance(command, click.Group):
        return []
    context = click.Context(command)
    found = [(name, command.get_command(context, name)) for name in command.list_commands(context)]
    return [(name, inner) for name, inner in found if inner is not None]


def _help(command: click.Command, name: str) -> str:
    context = click.Context(command, info_name=name, terminal_width=100, max_content_width=100)
    context.help_option_names = ["-h", "--help"]
    return command.get_help(context).rstrip()


def test_the_page_of_commands_is_what_the_commands_say():
    assert COMMANDS_PAGE.read_text(encoding="utf-8") == commands_page()


@pytest.mark.parametrize("page", PAGES)
def test_every_page_is_there(page):
    """That it can be reached, and that its links lead somewhere, is asked in tests/trust."""
    assert (DOCS / page).stat().st_size > 200


def test_the_readme_opens_with_the_job_and_has_the_two_commands():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    first = readme.split("\n\n")[1]
    for word in ("fungicide", "soybean", "where", "when", "whether"):
        assert word in first.lower()
    assert "pip install . && .venv/bin/sprayworth farm demo_fields/heron_slough" in readme
    assert "pip install -e '.[test]' && .venv/bin/pytest" in readme


def test_nothing_that_people_read_promises_safety():
    texts = [SENTENCES[code] for code in SENTENCES]
    texts += [page.read_text(encoding="utf-8") for page in [*DOCS.rglob("*.md"), ROOT / "README.md"]]
    for text in texts:
        assert not re.search(r"\bsafe(ly)?\b", text, flags=re.IGNORECASE), text[:80]


def test_every_kind_of_evidence_is_explained():
    words = (DOCS / "explanation" / "evidence.md").read_text(encoding="utf-8")
    for kind in evidence.KINDS:
        assert f"**{kind}**" in words


if __name__ == "__main__":
    COMMANDS_PAGE.write_text(commands_page(), encoding="utf-8")
