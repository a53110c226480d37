"""Every fault that the program can tell, read out of its source: what, where, how to mend it, exit code.

A text that code puts together has `…` where a value goes. Texts in variables, arguments and constants are
followed through the code; what cannot be followed is `…` as a whole.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from names_in_code import (
    At,
    Module,
    Part,
    argument,
    assignments,
    callers,
    calls_by_name,
    functions,
    modules,
    parameters,
    values_of,
)

from zoning.words import SENTENCES

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


@cache
def faults() -> tuple[Told, ...]:
    """List every fault once, in the order of the modules."""
    found: dict[Told, None] = {}
    for name in ("InputError", "UnitError"):
        for call, at in calls_by_name()[name]:
            for told in _told(call, at):
                found[told if name == "InputError" else replace(told, code="2 or 3")] = None
    found |= dict.fromkeys(_in_pairs())
    return tuple(one for one in found if re.search("[a-z]{2}", one.what))


def _top_functions(module: Module) -> list[ast.FunctionDef]:
    return [one for one in module.tree.body if isinstance(one, ast.FunctionDef)]


def _in_pairs() -> Iterator[Told]:
    """Texts of functions that give what is wrong and how to mend it, for others to raise."""
    for module in modules():
        for function in _top_functions(module):
            at = At(module, (function,))
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
                            is_typed = "/settings/" in module.name or function.name.endswith("role_fault")
                            yield replace(told, code="2" if is_typed else told.code)


def _told(call: ast.Call, at: At) -> Iterator[Told]:
    given = {one.arg: one.value for one in call.keywords}
    what = call.args[0] if call.args else given.get("what")
    mend = call.args[1] if len(call.args) > 1 else given.get("mend")
    nodes = (what, mend, given.get("code"), given.get("where"))
    parts = [None if one is None else (one, at) for one in nodes]
    yield from _expanded(parts, at, 0)


def _expanded(parts: list[Part | None], at: At, deep: int) -> Iterator[Told]:
    """Follow a fault into the callers of the function that only hands its texts on, caller by caller."""
    function = at.inside[-1] if at.inside else None
    handed = [
        place
        for place, one in enumerate(parts)
        if one and function and isinstance(one[0], ast.Name) and _is_handed(function, one[0].id, one[1], at)
    ]
    calls = list(callers(function, at)) if handed and function and deep < _DEEP else []
    if not calls:
        yield from _paired(parts, at)
    for call, where in calls:
        named = {parts[place][0].id: place for place in handed}  # type: ignore[index, union-attr]
        filled = list(parts)
        for name, place in named.items():
            value = argument(function, call, name)
            filled[place] = None if value is None else (value, where)
        yield from _expanded(filled, where, deep + 1)


def _is_handed(function: ast.FunctionDef, name: str, where: At, at: At) -> bool:
    own = any(known == name for _, known, _ in assignments(function))
    return where.inside == at.inside and not own and name in parameters(function)


def _paired(parts: list[Part | None], at: At) -> Iterator[Told]:
    whats, mends = (_texts(*one) if one else [GAP] for one in parts[:2])
    code = " or ".join(sorted({_CODES.get(one, one) for one in _codes(parts[2])}))
    where = _texts(*parts[3], _DEEP - 2) if parts[3] else [GAP]
    if len(whats) != len(mends):
        mends = [" Or: ".join(mends)] * len(whats)
    for what, mend in zip(whats, mends, strict=True):
        yield Told(at.module.name, " or ".join(where), _tight(what), _tight(mend), code)


def _tight(text: str) -> str:
    return re.sub(rf"{GAP}+", GAP, text)


def _codes(part: Part | None) -> list[str]:
    if part is None:
        return ["CONTENT"]
    node, at = part
    if isinstance(node, ast.IfExp):
        return _codes((node.body, at)) + _codes((node.orelse, at))
    name = getattr(node, "id", getattr(node, "attr", ""))
    if name in _CODES:
        return [name]
    values = values_of(node, at) if isinstance(node, ast.Name) else []
    return [code for value in values for code in _codes(value)] or ["2", "3", "4"]


# -- texts ------------------------------------------------------------------------------------------------


def _texts(node: ast.expr, at: At, deep: int = 0) -> list[str]:
    """Give what an expression may say; always something."""
    found = list(dict.fromkeys(_followed(node, at, deep)))[:_MOST] if deep < _DEEP else []
    return found or [GAP]


def _followed(node: ast.expr, at: At, deep: int) -> list[str]:
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
            return [text for value, where in values_of(node, at) for text in _texts(value, where, deep + 1)]
        case ast.Attribute(value=ast.Call() as call, attr="text"):
            return _said(call)
        case ast.Attribute(value=ast.Name(id=module), attr=name):
            return _of_module(module, name, deep)
        case ast.Call(func=ast.Name(id=name)) if name in functions(at.module):
            return _returned(functions(at.module)[name], deep, at)
    return []


def _part(part: ast.expr, at: At, deep: int) -> str:
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
            return _texts(one.constants[name], At(one, ()), deep + 1)
    return []


def _returned(function: ast.FunctionDef, deep: int, at: At) -> list[str]:
    inside = At(at.module, (function,))
    values = [one.value for one in ast.walk(function) if isinstance(one, ast.Return) and one.value]
    return [text for value in values for text in _texts(value, inside, deep + 1)]
