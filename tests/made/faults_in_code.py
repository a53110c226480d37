"""Every fault that the program can tell, read out of its source: what, where, how to mend it, exit code.

A text that code puts together has `…` where a value goes. Texts in variables, arguments and constants are
followed through the code; what cannot be followed is `…` as a whole.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from zoning.words import SENTENCES

ROOT = Path(__file__).parents[2]
GAP = "…"
_CODES = {"BUG": "1", "SETTINGS": "2", "CONTENT": "3", "WORLD": "4"}
_DEEP = 6  # steps that a text is followed through
_MOST = 60  # texts of one name


@dataclass(frozen=True, slots=True, order=True)
class Told:
    """One fault: the module that tells it, and its texts."""

    module: str
    where: str
    what: str
    mend: str
    code: str


@dataclass(frozen=True, slots=True, eq=False)
class _Module:
    name: str
    tree: ast.Module
    constants: dict[str, ast.expr]


@dataclass(frozen=True, slots=True, eq=False)
class _At:
    """A place in the code: the module, and the functions around it, the innermost last."""

    module: _Module
    inside: tuple[ast.FunctionDef, ...]


_Part = tuple[ast.expr, _At]


@cache
def modules() -> tuple[_Module, ...]:
    """Parse the program."""
    found = []
    for path in sorted([*(ROOT / "zoning").rglob("*.py"), *(ROOT / "cli").rglob("*.py")]):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        constants = {name: value for one in tree.body for name, value in _assigned(one)}
        name = path.relative_to(ROOT).with_suffix("").as_posix().removesuffix("/__init__")
        found.append(_Module(name, tree, constants))
    return tuple(found)


@cache
def _functions(module: _Module) -> dict[str, ast.FunctionDef]:
    return {one.name: one for one in ast.walk(module.tree) if isinstance(one, ast.FunctionDef)}


@cache
def faults() -> tuple[Told, ...]:
    """List every fault once, in the order of the modules."""
    found: dict[Told, None] = {}
    for name in ("InputError", "UnitError"):
        for call, at in _by_name()[name]:
            for told in _told(call, at):
                found[told if name == "InputError" else replace(told, code="2 or 3")] = None
    found |= dict.fromkeys(_in_pairs())
    return tuple(one for one in found if re.search("[a-z]{2}", one.what))


def _top_functions(module: _Module) -> list[ast.FunctionDef]:
    return [one for one in module.tree.body if isinstance(one, ast.FunctionDef)]


def _in_pairs() -> Iterator[Told]:
    """Texts of functions that give what is wrong and how to mend it, for others to raise."""
    for module in modules():
        for function in _top_functions(module):
            at = _At(module, (function,))
            if function.returns is None or not ast.unparse(function.returns).startswith("tuple[str, str]"):
                continue
            for one in ast.walk(function):
                if (
                    isinstance(one, ast.Return)
                    and isinstance(one.value, ast.Tuple)
                    and len(one.value.elts) == 2
                ):
                    what, mend = one.value.elts
                    for told in _paired([(what, at), (mend, at), None, None], at):
                        if told.mend.endswith("."):
                            yield replace(told, code="2" if "/settings/" in module.name else told.code)


def _told(call: ast.Call, at: _At) -> Iterator[Told]:
    given = {one.arg: one.value for one in call.keywords}
    what = call.args[0] if call.args else given.get("what")
    mend = call.args[1] if len(call.args) > 1 else given.get("mend")
    nodes = (what, mend, given.get("code"), given.get("where"))
    parts = [None if one is None else (one, at) for one in nodes]
    yield from _expanded(parts, at, 0)


def _expanded(parts: list[_Part | None], at: _At, deep: int) -> Iterator[Told]:
    """Follow a fault into the callers of the function that only hands its texts on, caller by caller."""
    function = at.inside[-1] if at.inside else None
    handed = [
        place
        for place, one in enumerate(parts)
        if one and function and isinstance(one[0], ast.Name) and _is_handed(function, one[0].id, one[1], at)
    ]
    calls = list(_callers(function, at)) if handed and function and deep < _DEEP else []
    if not calls:
        yield from _paired(parts, at)
    for call, where in calls:
        named = {parts[place][0].id: place for place in handed}  # type: ignore[index, union-attr]
        filled = list(parts)
        for name, place in named.items():
            value = _argument(function, call, name)
            filled[place] = None if value is None else (value, where)
        yield from _expanded(filled, where, deep + 1)


def _is_handed(function: ast.FunctionDef, name: str, where: _At, at: _At) -> bool:
    own = any(known == name for _, known, _ in _assignments(function))
    return where.inside == at.inside and not own and name in _parameters(function)


def _paired(parts: list[_Part | None], at: _At) -> Iterator[Told]:
    whats, mends = (_texts(*one) if one else [GAP] for one in parts[:2])
    code = " or ".join(sorted({_CODES.get(one, one) for one in _codes(parts[2])}))
    where = _texts(*parts[3], _DEEP - 2) if parts[3] else [GAP]
    if len(whats) != len(mends):
        mends = [" Or: ".join(mends)] * len(whats)
    for what, mend in zip(whats, mends, strict=True):
        yield Told(at.module.name, " or ".join(where), _tight(what), _tight(mend), code)


def _tight(text: str) -> str:
    return re.sub(rf"{GAP}+", GAP, text)


def _codes(part: _Part | None) -> list[str]:
    if part is None:
        return ["CONTENT"]
    node, at = part
    if isinstance(node, ast.IfExp):
        return _codes((node.body, at)) + _codes((node.orelse, at))
    name = getattr(node, "id", getattr(node, "attr", ""))
    if name in _CODES:
        return [name]
    values = _values(node, at) if isinstance(node, ast.Name) else []
    return [code for value in values for code in _codes(value)] or ["2", "3", "4"]


# -- texts ------------------------------------------------------------------------------------------------


def _texts(node: ast.expr, at: _At, deep: int = 0) -> list[str]:
    """Give what an expression may say; always something."""
    found = list(dict.fromkeys(_followed(node, at, deep)))[:_MOST] if deep < _DEEP else []
    return found or [GAP]


def _followed(node: ast.expr, at: _At, deep: int) -> list[str]:
    match node:
        case ast.Constant(value=str() as text):
            return [text]
        case ast.JoinedStr(values=parts):
            return ["".join(_part(part, at, deep) for part in parts)]
        case ast.IfExp(body=one, orelse=other):
            return _texts(one, at, deep + 1) + _texts(other, at, deep + 1)
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            return [a + b for a in _texts(left, at, deep + 1) for b in _texts(right, at, deep + 1)]
        case ast.Name():
            return [text for value, where in _values(node, at) for text in _texts(value, where, deep + 1)]
        case ast.Attribute(value=ast.Call() as call, attr="text"):
            return _said(call)
        case ast.Attribute(value=ast.Name(id=module), attr=name):
            return _of_module(module, name, deep)
        case ast.Call(func=ast.Name(id=name)) if name in _functions(at.module):
            return _returned(_functions(at.module)[name], deep, at)
    return []


def _part(part: ast.expr, at: _At, deep: int) -> str:
    """A piece of an f-string: its text, or the only text that the value can have."""
    if isinstance(part, ast.Constant):
        return str(part.value)
    inner = part.value if isinstance(part, ast.FormattedValue) else part
    texts = _texts(inner, at, deep + 1) if isinstance(inner, ast.Name | ast.Attribute) else []
    return texts[0] if len(texts) == 1 else GAP


def _said(call: ast.Call) -> list[str]:
    first = call.args[0] if call.args else None
    is_said = getattr(call.func, "id", "") == "Said" and isinstance(first, ast.Constant)
    return [re.sub(r"\{[^{}]*\}", GAP, SENTENCES[str(first.value)])] if is_said else []


def _of_module(module: str, name: str, deep: int) -> list[str]:
    for one in modules():
        if one.name.endswith(f"/{module}") and name in one.constants:
            return _texts(one.constants[name], _At(one, ()), deep + 1)
    return []


def _returned(function: ast.FunctionDef, deep: int, at: _At) -> list[str]:
    inside = _At(at.module, (function,))
    values = [one.value for one in ast.walk(function) if isinstance(one, ast.Return) and one.value]
    return [text for value in values for text in _texts(value, inside, deep + 1)]


# -- names ------------------------------------------------------------------------------------------------


def _values(node: ast.Name, at: _At) -> list[_Part]:
    """Find what a name may stand for: assigned in the function, handed over by its callers, or a constant."""
    for depth in range(len(at.inside), 0, -1):
        function, around = at.inside[depth - 1], _At(at.module, at.inside[:depth])
        assigned = _before(node, function)
        if assigned:
            return [(value, around) for value in assigned]
        if node.id in _parameters(function):
            return _handed_over(function, node.id, around)
    if node.id in at.module.constants:
        return [(at.module.constants[node.id], _At(at.module, ()))]
    return []


def _before(node: ast.Name, function: ast.FunctionDef) -> list[ast.expr]:
    """Give the values that a name may have where it stands: the last one, and those of branches before it."""
    known = [(one, value) for one, name, value in _assignments(function) if name == node.id]
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
def _assignments(function: ast.FunctionDef) -> tuple[tuple[ast.stmt, str, ast.expr], ...]:
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


def _handed_over(function: ast.FunctionDef, name: str, at: _At) -> list[_Part]:
    found = []
    for call, where in _callers(function, at):
        value = _argument(function, call, name)
        if value is not None:
            found.append((value, where))
    return found


def _parameters(function: ast.FunctionDef) -> list[str]:
    return [one.arg for one in (*function.args.args, *function.args.kwonlyargs)]


def _argument(function: ast.FunctionDef, call: ast.Call, name: str) -> ast.expr | None:
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


def _callers(function: ast.FunctionDef, at: _At) -> Iterator[tuple[ast.Call, _At]]:
    """Find the calls of a function: in its module, by its module's name, or where it is imported."""
    stem = at.module.name.rsplit("/", 1)[-1]
    for call, where in _by_name().get(function.name, ()):
        by = call.func.value if isinstance(call.func, ast.Attribute) else None
        by_module = isinstance(by, ast.Name) and by.id == stem
        imported = by is None and function.name in _imports(where.module, stem)
        if where.module is at.module or by_module or imported:
            yield call, where


@cache
def _imports(module: _Module, stem: str) -> frozenset[str]:
    return frozenset(
        one.asname or one.name
        for node in module.tree.body
        if isinstance(node, ast.ImportFrom) and (node.module or "").endswith(stem)
        for one in node.names
    )


@cache
def _by_name() -> dict[str, list[tuple[ast.Call, _At]]]:
    """Every call of the program, by the name of what is called."""
    found: dict[str, list[tuple[ast.Call, _At]]] = {}

    def walk(node: ast.AST, module: _Module, inside: tuple[ast.FunctionDef, ...]) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Call):
                name = getattr(child.func, "id", getattr(child.func, "attr", ""))
                found.setdefault(name, []).append((child, _At(module, inside)))
            walk(child, module, (*inside, child) if isinstance(child, ast.FunctionDef) else inside)

    for module in modules():
        walk(module.tree, module, ())
    return found
