"""The line finder against the standard parser: every key is found, and on the right line."""

import json
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.settings.lines import lines_of


def paths_in(value, steps=()):
    """Every table, key and list item that the standard parser sees."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, part in inside:
        yield (*steps, step)
        yield from paths_in(part, (*steps, step))


HARD = '''# a comment with [brackets] and key = 5
name = "a # b = c [x]"          # and a comment
'quoted.key' = 1
"es\\"caped" = 2
a.b . "c" = 3
date = 2026-07-08 07:00:00
several = [
  "one",  # first ] of these
  [ 2, 3,
    4 ],
  { x = 1, y.z = "}" },
]
empty = []
nothing = {}
long = """
[not.a.table]
key = 5 \\""" still
"""""
raw = \'\'\'
don't # stop
\'\'\'
[ table . sub ]
inner = { p = { q = [ 1, 2 ] }, r = \'#\' }
[[list]]
k = 1
[list.below]
deep = true
[[list.again]]
n = 1
[[list.again]]
n = 2
[[list]]
k = 2
[[list.again]]
n = 3
'''


def test_by_hand_lines_of_a_hard_text():
    found = lines_of(HARD)
    assert set(found) == set(paths_in(tomllib.loads(HARD)))
    line = {text: number for number, text in enumerate(HARD.splitlines(), 1)}
    assert found["name",] == 2
    assert found["quoted.key",] == 3
    assert found['es"caped',] == 4
    assert found["a", "b", "c"] == 5
    assert found["several", 0] == 8
    assert found["several", 1, 2] == line["    4 ],"]
    assert found["several", 2, "y", "z"] == 11
    assert found["table", "sub", "inner", "p", "q", 1] == line["inner = { p = { q = [ 1, 2 ] }, r = '#' }"]
    assert found["list", 0, "again", 1, "n"] == line["n = 2"]
    assert found["list", 1, "again", 0, "n"] == line["n = 3"]
    assert found["list", 1, "k"] == line["k = 2"]
    assert (found["list", 0], found["list", 1]) == (line["k = 1"] - 1, line["k = 2"] - 1)


def test_windows_line_ends_count_once():
    assert lines_of(HARD.replace("\n", "\r\n")) == lines_of(HARD)


KEY = st.text(min_size=1, max_size=6) | st.from_regex(r"[A-Za-z0-9_-]{1,6}", fullmatch=True)
SCALAR = st.integers(-99, 99) | st.booleans() | st.text(max_size=8) | st.dates()
VALUE = st.recursive(
    SCALAR,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEY, inner, max_size=3),
    max_leaves=6,
)


def quoted(text):
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def inline(value, comma):
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, list):
        return f"[{comma}{f',{comma}'.join(inline(part, comma) for part in value)}{comma}]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(key)} = {inline(part, '')}" for key, part in value.items()) + "}"
    return str(value)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(KEY, st.booleans(), st.dictionaries(KEY, VALUE, max_size=3)), max_size=4),
    st.sampled_from(["", " ", "\n", " # note ]\n "]),
)
def test_every_key_of_any_text_is_found_on_its_line(tables, comma):
    text, expected, counts, kinds = "", {}, {}, {}
    for name, is_list, pairs in tables:
        if kinds.setdefault(name, is_list) != is_list or (not is_list and name in counts):
            continue
        number = counts[name] = counts.get(name, -1) + 1
        at = (name, number) if is_list else (name,)
        expected[at] = text.count("\n") + 1
        text += f"[[{quoted(name)}]]\n" if is_list else f"[ {quoted(name)} ] # x = 1\n"
        for key, value in pairs.items():
            expected[*at, key] = text.count("\n") + 1
            text += f"{quoted(key)}  =  {inline(value, comma)}\n"
    found = lines_of(text)
    assert set(found) == set(paths_in(tomllib.loads(text)))
    assert {steps: found[steps] for steps in expected} == expected


def test_a_text_that_is_not_toml_is_our_own_mistake():
    with pytest.raises(ValueError, match="not valid TOML"):
        lines_of("= 5")
