"""The passports of the numbers, and that code has no numbers of its own."""

import ast
import io
import tokenize
from pathlib import Path

import pytest

from zoning import evidence

ROOT = Path(__file__).parents[2]
PURE_ROOMS = ("sprayer", "zones", "stage", "returns", "passes", "strips")
FREE = {0, 1, 2, 0.5, -1}
GOOD = {"value": 5.0, "unit": "d", "kind": "assumption", "source": "", "note": "n"}


def test_every_table_loads_and_every_entry_has_a_passport():
    assert {"stage", "returns", "sprayer", "zones", "passes"} <= set(evidence.rooms())
    for room in evidence.rooms():
        assert evidence.table(room)


@pytest.mark.parametrize(
    ("change", "phrase"),
    [
        ({"kind": "guess"}, "is not one of"),
        ({"kind": "published"}, "needs a source"),
        ({"kind": "standard", "source": " "}, "needs a source"),
        ({"kind": "computed"}, "needs a source"),
        ({"kind": "common practice", "source": "somebody"}, "has no source"),
        ({"unit": ""}, "needs a unit"),
        ({"value": True}, "is not a number"),
        ({"value": [1.0, [2.0, None]]}, "is not a number"),
        ({"colour": "red"}, "needs exactly"),
    ],
)
def test_an_entry_without_a_passport_is_refused(change, phrase):
    with pytest.raises(evidence.PassportError, match=phrase):
        evidence.read_entry("room.name", GOOD | change)


def test_an_entry_with_a_passport_is_read():
    assert evidence.read_entry("room.name", GOOD).value == 5.0


def test_a_missing_part_is_refused():
    for part in GOOD:
        with pytest.raises(evidence.PassportError, match="needs exactly"):
            evidence.read_entry("room.name", {key: value for key, value in GOOD.items() if key != part})


def _explained_lines(source: str) -> set[int]:
    """Lines with a comment that names an equation or a method setting, and the lines just below them."""
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT and token.string.startswith(("# eq.", "# method:")):
            lines |= {token.start[0], token.start[0] + 1}
    return lines


def unexplained_numbers(source: str) -> list[tuple[int, float]]:
    """Numbers in code that are neither free nor explained on their line."""
    explained = _explained_lines(source)
    found = []
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Constant) or isinstance(node.value, bool):
            continue
        is_free = not isinstance(node.value, int | float | complex) or node.value in FREE
        if not is_free and node.lineno not in explained:
            found.append((node.lineno, node.value))
    return found


def test_the_walk_finds_a_number_that_is_hidden():
    assert unexplained_numbers("a = 3.7\nb = [1, (4,)]\n") == [(1, 3.7), (2, 4)]
    assert unexplained_numbers("a = 3.7  # eq. 2 of somebody\n# method: steps\nb = 12\n") == []


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_rooms_have_no_numbers_of_their_own(room):
    files = sorted((ROOT / "zoning" / room).glob("**/*.py"))
    if room == "strips" and not files:
        pytest.skip("strips is not built yet")
    assert files
    bad = [
        f"{file.relative_to(ROOT)}:{line}: {number}"
        for file in files
        for line, number in unexplained_numbers(file.read_text(encoding="utf-8"))
    ]
    assert not bad, "numbers without a passport:\n" + "\n".join(bad)


def test_every_entry_that_code_asks_for_exists():
    asked = set()
    for file in (ROOT / "zoning").glob("**/*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) in (
                "number",
                "numbers",
                "named",
                "entry",
            ):
                for argument in node.args[:1]:
                    if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                        asked.add(argument.value)
    assert asked
    missing = {key for key in asked if key.partition(".")[0] in evidence.rooms() and not evidence.find(key)}
    assert not missing
