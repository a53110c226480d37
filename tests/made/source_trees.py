"""The syntax trees of the program's own modules, read once for all tests that look at them."""

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]


@cache
def trees() -> dict[str, ast.Module]:
    """Each module of zoning and cli by its path from the root."""
    paths = sorted([*(ROOT / "zoning").glob("**/*.py"), *(ROOT / "cli").glob("**/*.py")])
    return {
        path.relative_to(ROOT).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in paths
        if "zoning/example/" not in path.as_posix()
    }


@cache
def nodes() -> tuple[tuple[str, ast.AST], ...]:
    """Every node of every tree, with the path of its module."""
    return tuple((path, node) for path, tree in trees().items() for node in ast.walk(tree))


def called(node: ast.AST) -> str:
    """The dotted name of what is called, "" where it is no plain name.

    Examples
    --------
    >>> called(ast.parse("os.path.join(a)").body[0].value)
    'os.path.join'
    """
    parts = []
    at = node.func if isinstance(node, ast.Call) else None
    while isinstance(at, ast.Attribute):
        parts.append(at.attr)
        at = at.value
    return ".".join([*([at.id] if isinstance(at, ast.Name) else [""]), *reversed(parts)]) if at else ""
