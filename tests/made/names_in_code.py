"""Names in the program's own source, followed: what a variable, an argument or a constant may stand for.

A name is looked for in the functions around it (the last assignment before it, and those in branches), among
the arguments that callers hand over, and among the constants of its module.
"""

import ast
import gc
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True, slots=True, eq=False)
class Module:
    name: str
    tree: ast.Module
    constants: dict[str, ast.expr]


@dataclass(frozen=True, slots=True, eq=False)
class At:
    """A place in the code: the module, and the functions around it, the innermost last."""

    module: Module
    inside: tuple[ast.FunctionDef, ...]


Part = tuple[ast.expr, At]


@cache
def modules() -> tuple[Module, ...]:
    """Parse the program.

    Python 3.11 loses count ("AST constructor recursion depth mismatch") where the collector runs
    code while a tree is being built.
    """
    gc.collect()
    gc.disable()
    try:
        return _parsed()
    finally:
        gc.enable()


def _parsed() -> tuple[Module, ...]:
    found = []
    for path in sorted([*(ROOT / "zoning").rglob("*.py"), *(ROOT / "cli").rglob("*.py")]):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        constants = {name: value for one in tree.body for name, value in _assigned(one)}
        name = path.relative_to(ROOT).with_suffix("").as_posix().removesuffix("/__init__")
        found.append(Module(name, tree, constants))
    return tuple(found)


@cache
def functions(module: Module) -> dict[str, ast.FunctionDef]:
    return {one.name: one for one in ast.walk(module.tree) if isinstance(one, ast.FunctionDef)}


def values_of(node: ast.Name, at: At) -> list[Part]:
    """Find what a name may stand for: assigned in the function, handed over by its callers, or a constant."""
    for depth in range(len(at.inside), 0, -1):
        function, around = at.inside[depth - 1], At(at.module, at.inside[:depth])
        assigned = _before(node, function)
        if assigned:
            return [(value, around) for value in assigned]
        if node.id in parameters(function):
            return _handed_over(function, node.id, around)
    if node.id in at.module.constants:
        return [(at.module.constants[node.id], At(at.module, ()))]
    return []


def _before(node: ast.Name, function: ast.FunctionDef) -> list[ast.expr]:
    """Give the values that a name may have where it stands: the last one, and those of branches before it."""
    known = [(one, value) for one, name, value in assignments(function) if name == node.id]
    earlier = [pair for pair in known if pair[0].lineno < node.lineno]
    if not earlier:
        return [value for _, value in known]
    deep = max(
        (one.col_offset for one in ast.walk(function) if isinstance(one, ast.stmt) and _holds(one, node)),
        default=0,
    )
    found: list[ast.expr] = []
    for one, value in sorted(earlier, key=lambda pair: -pair[0].lineno):
        found.insert(0, value)
        if one.col_offset <= deep:  # what was assigned before it is gone
            break
    return found


def _holds(statement: ast.stmt, node: ast.Name) -> bool:
    return statement.lineno <= node.lineno <= (statement.end_lineno or statement.lineno)


@cache
def assignments(function: ast.FunctionDef) -> tuple[tuple[ast.stmt, str, ast.expr], ...]:
    statements = [one for one in ast.walk(function) if isinstance(one, ast.stmt)]
    return tuple((one, *pair) for one in statements for pair in _assigned(one))


def _assigned(node: ast.AST) -> Iterator[tuple[str, ast.expr]]:
    """Names and values of an assignment, pairs taken apart."""
    match node:
        case ast.AnnAssign(target=ast.Name(id=name), value=ast.expr() as value):
            yield name, value
        case ast.AugAssign(target=ast.Name(id=name), op=op, value=more):
            before = ast.copy_location(ast.Name(id=name, ctx=ast.Load()), node)
            yield name, ast.copy_location(ast.BinOp(left=before, op=op, right=more), node)
        case ast.Assign(targets=[ast.Name(id=name)], value=value):
            yield name, value
        case ast.Assign(targets=[ast.Tuple(elts=names)], value=value):
            sides = [value.body, value.orelse] if isinstance(value, ast.IfExp) else [value]
            for side in sides:
                if isinstance(side, ast.Tuple) and len(side.elts) == len(names):
                    pairs = zip(names, side.elts, strict=True)
                    yield from ((one.id, part) for one, part in pairs if isinstance(one, ast.Name))


def _handed_over(function: ast.FunctionDef, name: str, at: At) -> list[Part]:
    found = []
    for call, where in callers(function, at):
        value = argument(function, call, name)
        if value is not None:
            found.append((value, where))
    return found


def parameters(function: ast.FunctionDef) -> list[str]:
    return [one.arg for one in (*function.args.args, *function.args.kwonlyargs)]


def argument(function: ast.FunctionDef, call: ast.Call, name: str) -> ast.expr | None:
    """Give what a call hands over for a parameter, or its default."""
    keyword = next((one.value for one in call.keywords if one.arg == name), None)
    if keyword is not None:
        return keyword
    positional = [one.arg for one in function.args.args]
    if name in positional:
        place = positional.index(name) - (positional[:1] in (["self"], ["cls"]))
        if place < len(call.args) and not any(isinstance(one, ast.Starred) for one in call.args[: place + 1]):
            return call.args[place]
        after = positional.index(name) - len(positional)
        if -after <= len(function.args.defaults):
            return function.args.defaults[after]
    else:
        at = [one.arg for one in function.args.kwonlyargs].index(name)
        return function.args.kw_defaults[at]
    return None


def callers(function: ast.FunctionDef, at: At) -> Iterator[tuple[ast.Call, At]]:
    """Find the calls of a function: in its module, by its module's name, or where it is imported."""
    stem = at.module.name.rsplit("/", 1)[-1]
    for call, where in calls_by_name().get(function.name, ()):
        by = call.func.value if isinstance(call.func, ast.Attribute) else None
        by_module = isinstance(by, ast.Name) and by.id == stem
        imported = by is None and function.name in _imports(where.module, stem)
        if where.module is at.module or by_module or imported:
            yield call, where


@cache
def _imports(module: Module, stem: str) -> frozenset[str]:
    return frozenset(
        one.asname or one.name
        for node in module.tree.body
        if isinstance(node, ast.ImportFrom) and (node.module or "").endswith(stem)
        for one in node.names
    )


@cache
def calls_by_name() -> dict[str, list[tuple[ast.Call, At]]]:
    """Every call of the program, by the name of what is called."""
    found: dict[str, list[tuple[ast.Call, At]]] = {}

    def walk(node: ast.AST, module: Module, inside: tuple[ast.FunctionDef, ...]) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Call):
                name = getattr(child.func, "id", getattr(child.func, "attr", ""))
                found.setdefault(name, []).append((child, At(module, inside)))
            walk(child, module, (*inside, child) if isinstance(child, ast.FunctionDef) else inside)

    for module in modules():
        walk(module.tree, module, ())
    return found
