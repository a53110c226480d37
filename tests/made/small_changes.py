"""Small changes to the code of the rooms that compute, and the tests that should notice each.

A change swaps + and -, * and /, < and <=, > and >=, == and !=, `and` and `or`, 0 and 1, or drops a `not`. One
change is drawn for each line that is drawn.
"""

import ast
import random
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from broken_copy import ROOT

# The rooms that compute, as folders and files, and the folders of their own tests.
ROOMS = {
    "zoning/units.py": "tests/test_units.py",
    "zoning/sprayer": "tests/sprayer",
    "zoning/stage": "tests/stage",
    "zoning/returns": "tests/returns",
    "zoning/passes": "tests/passes",
    "zoning/strips": "tests/strips",
}
CORE = (
    *("zoning/units.py", "zoning/sprayer", "zoning/stage", "zoning/returns"),
    *("zoning/passes/what_if", "zoning/passes/loads", "zoning/passes/schedule", "zoning/passes/hours"),
    *("zoning/passes/label.py", "zoning/passes/treated.py", "zoning/strips/answer", "zoning/strips/terms.py"),
)
_SWAPS: dict[type[ast.AST], tuple[str, str]] = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.And: ("and", "or"),
    ast.Or: ("or", "and"),
}


@dataclass(frozen=True, kw_only=True)
class Change:
    """One change: the file's text with it, the line before and after."""

    file: str
    line: int
    what: str
    before: str
    after: str
    text: str

    @property
    def where(self) -> str:
        """File and line."""
        return f"{self.file}:{self.line}"


def changes(rooms: Sequence[str], count: int, seed: int) -> list[Change]:
    """Draw lines by a seed, and one change for each."""
    of_line: dict[tuple[str, int], list[Change]] = {}
    for room in rooms:
        whole = ROOT / room
        for path in sorted(whole.rglob("*.py")) if whole.is_dir() else [whole]:
            for one in _of_file(path):
                of_line.setdefault((one.file, one.line), []).append(one)
    chance = random.Random(seed)
    drawn = chance.sample(sorted(of_line), min(count, len(of_line)))
    return [chance.choice(of_line[place]) for place in sorted(drawn)]


def _of_file(path: Path) -> Iterator[Change]:
    """List every change of a file."""
    text = path.read_text(encoding="utf-8")
    rows = text.splitlines(keepends=True)
    starts = [0]
    for row in rows:
        starts.append(starts[-1] + len(row))

    def at(line: int, column: int) -> int:
        return starts[line - 1] + len(rows[line - 1].encode()[:column].decode())

    for start, end, new in _edits(ast.parse(text), text, at):
        changed = text[:start] + new + text[end:]
        line = text.count("\n", 0, start) + 1
        yield Change(
            file=path.relative_to(ROOT).as_posix(),
            line=line,
            what=f"{text[start:end].strip()} -> {new.strip() or 'nothing'}",
            before=rows[line - 1],
            after=changed.splitlines()[line - 1],
            text=changed,
        )


def _edits(tree: ast.Module, text: str, at) -> Iterator[tuple[int, int, str]]:
    """Give the place and the new letters of each change."""
    left_out = _left_out(tree)
    for node in ast.walk(tree):
        if node in left_out:
            continue
        for kind, left, right in _between(node):
            start, end = at(left.end_lineno, left.end_col_offset), at(right.lineno, right.col_offset)
            old, new = _SWAPS[kind]
            found = re.search(rf"(?<![<>=!*/]){re.escape(old)}(?![=*/])", _bare(text[start:end]))
            if found:
                yield start + found.start(), start + found.end(), new
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            start = at(node.lineno, node.col_offset)
            yield start, start + len("not "), ""
        if isinstance(node, ast.Constant) and type(node.value) is int and node.value in (0, 1):
            start, end = at(node.lineno, node.col_offset), at(node.end_lineno, node.end_col_offset)
            yield start, end, str(1 - node.value)


def _between(node: ast.AST) -> Iterator[tuple[type[ast.AST], ast.expr, ast.expr]]:
    """Give each operator with what stands on both sides of it."""
    if isinstance(node, ast.BinOp) and type(node.op) in _SWAPS:
        yield type(node.op), node.left, node.right
    if isinstance(node, ast.Compare):
        sides = [node.left, *node.comparators]
        for op, left, right in zip(node.ops, sides, sides[1:], strict=False):
            if type(op) in _SWAPS:
                yield type(op), left, right
    if isinstance(node, ast.BoolOp):
        for left, right in zip(node.values, node.values[1:], strict=False):
            yield type(node.op), left, right


def _bare(text: str) -> str:
    """Blank out comments, so that no operator is found in one."""
    return re.sub(r"#[^\n]*", lambda found: " " * len(found[0]), text)


def _left_out(tree: ast.Module) -> set[ast.AST]:
    """Annotations, of which nothing runs, and texts with braces, whose places Python 3.11 does not know."""
    notes: list[ast.AST | None] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            notes.append(node)
        if isinstance(node, ast.arg | ast.AnnAssign):
            notes.append(node.annotation)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            notes.append(node.returns)
    return {part for note in notes if note is not None for part in ast.walk(note)}


def tests_of(file: str) -> list[list[str]]:
    """Give the tests of a file's own room: examples and tests that name it, then those that name who uses it.

    Tests of the room that only reach it from afar are not asked: a module is to be held by its own.
    """
    found = next(((room, tests) for room, tests in ROOMS.items() if file.startswith(room)), None)
    if found is None:
        raise SystemExit(f"{file}: no tests are named for this room; add it to ROOMS in small_changes.py")
    room, tests = found
    folder, whole = ROOT / tests, ROOT / room
    every = sorted(folder.rglob("test_*.py")) if folder.is_dir() else [folder]
    near = _that_import([file], every)
    users = _that_import([file], [*whole.rglob("*.py"), *(ROOT / "tests" / "made").glob("*.py")])
    beyond = [path for path in _that_import(users, every) if path not in near]
    return [part for part in ([file, *near], beyond) if part]


def _that_import(files: Sequence[str], paths: Iterable[Path]) -> list[str]:
    """List the files that import one of some modules."""
    said = []
    for file in files:
        of_tests = file.removeprefix("tests/made/")  # they are imported by their names alone
        module = of_tests.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        package, _, name = module.rpartition(".")
        whole = rf"(?:from|import) {re.escape(module)}\b"
        said.append(rf"{whole}|from {re.escape(package)} import [^\n]*\b{name}\b" if package else whole)
    says = re.compile("|".join(said) or "(?!)")
    texts = {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in sorted(paths)}
    return [path for path, text in texts.items() if says.search(text) and path not in files]
