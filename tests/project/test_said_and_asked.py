"""Every sentence is said and every number asked for by some code; and nothing is that does not exist.

Names that code puts together (`f"zones.{why}"`) are followed: what stands in the braces must itself be a word
of the code.
"""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from zoning import evidence
from zoning.words import SENTENCES

ROOT = Path(__file__).parents[2]
# Numbers that only people read, in docs and with the command `evidence`.
FOR_READERS: set[str] = set()


@cache
def trees() -> tuple[ast.Module, ...]:
    """Everything but the sentences themselves."""
    paths = [path for path in (ROOT / "zoning").rglob("*.py") if path.parent.name != "words"]
    return tuple(ast.parse(path.read_text(encoding="utf-8")) for path in paths)


def docstrings(tree: ast.Module) -> set[ast.AST]:
    """Texts that are no values: a code or an entry named there is not said or asked for."""
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}


def pattern(node: ast.JoinedStr) -> str:
    """What a text with braces may become."""
    return "".join(
        re.escape(part.value) if isinstance(part, ast.Constant) else "(.+)" for part in node.values
    )


@cache
def words_and_patterns() -> tuple[frozenset[str], frozenset[str]]:
    """Texts and names of fields in the code; and what texts with braces may become."""
    words: set[str] = set()
    patterns: set[str] = set()
    for tree in trees():
        silent = docstrings(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in silent:
                words.add(node.value)
            elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                words.add(node.target.id)
            elif isinstance(node, ast.JoinedStr):
                patterns.add(pattern(node))
    patterns.discard("(.+)")  # would be anything
    return frozenset(words), frozenset(patterns)


def is_named(key: str) -> bool:
    """Whether code names a key, in one piece or put together."""
    words, patterns = words_and_patterns()
    if key in words:
        return True
    found = (re.fullmatch(one, key) for one in patterns)
    return any(match is not None and set(match.groups()) <= words for match in found)


def called(name: str) -> list[str]:
    """First arguments of a function, where they are one text."""
    calls = (node for tree in trees() for node in ast.walk(tree) if isinstance(node, ast.Call))
    mine = (call for call in calls if getattr(call.func, "id", getattr(call.func, "attr", "")) == name)
    first = (call.args[0] for call in mine if call.args)
    return [one.value for one in first if isinstance(one, ast.Constant) and isinstance(one.value, str)]


@pytest.mark.parametrize("code", sorted(SENTENCES))
def test_every_sentence_is_said(code):
    assert is_named(code)


def test_every_code_has_its_sentence():
    said = called("Said")
    assert len(said) > 50
    assert set(said) <= set(SENTENCES)


@pytest.mark.parametrize("key", [one.key for one in evidence.find()])
def test_every_number_is_asked_for_or_listed_as_for_readers(key):
    assert is_named(key) != (key in FOR_READERS)


def test_every_number_that_is_asked_for_exists():
    known = {one.key for one in evidence.find()}
    for function in ("number", "numbers", "named", "entry"):
        asked = {key for key in called(function) if "." in key}
        assert asked <= known


def test_a_name_that_no_code_puts_together_is_found_out():
    assert is_named("zones.rise")
    assert not is_named("zones.never")
    assert not is_named("stage.never_range_d")
