"""docs/reference/file_checks.md lists every rule. Run this file as a program to write its lists anew."""

import re
from pathlib import Path

from zoning.file_checks.table import FORMATS, OF_POLYGONS
from zoning.words import SENTENCES

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "file_checks.md"
MARK = "<!-- from here on written by tests/file_checks/test_rules_page.py -->\n"


def said(name, part=""):
    """The sentence, with `…` for what it names."""
    return re.sub(r"\{[^}]*\}", "…", SENTENCES[f"file_checks.{name}{part}"])


def rows(rules):
    first = {rule.name: rule for rule in reversed(rules)}  # a rule may stand in two tables of a format
    ordered = [rule for rule in rules if first.get(rule.name) is rule]
    lines = [
        f"| {rule.severity} | {said(rule.name)} | {said(rule.name, '.mend')} | `{rule.name}` |"
        for rule in ordered
    ]
    return "\n".join(["| | what is found | what to do | code |", "| --- | --- | --- | --- |", *lines])


def known_rules():
    return [*OF_POLYGONS, *(rule for one in FORMATS for rule in one.rules)]


def unreadable():
    """Names of sentences that no rule says: why a file cannot be read at all."""
    names = {code.removeprefix("file_checks.").removesuffix(".mend") for code in SENTENCES if is_ours(code)}
    return sorted(names - {rule.name for rule in known_rules()} - {"more", "checked", "limits"})


def is_ours(code):
    return code.startswith("file_checks.")


def lists():
    parts = ["## Polygons, in every format\n\n" + rows(OF_POLYGONS) + "\n"]
    parts += [f"## {one.name[0].upper() + one.name[1:]}\n\n" + rows(one.rules) + "\n" for one in FORMATS]
    lines = [f"| refused | {said(name)} | {said(name, '.mend')} | `{name}` |" for name in unreadable()]
    head = ["| | what is found | what to do | code |", "| --- | --- | --- | --- |"]
    parts.append("## Files that cannot be read\n\n" + "\n".join([*head, *lines]) + "\n")
    return "\n".join(parts)


def test_the_page_lists_every_rule():
    before, mark, after = PAGE.read_text(encoding="utf-8").partition(MARK)
    assert before
    assert mark
    assert after == "\n" + lists()


def test_every_rule_says_what_is_wrong_and_how_to_mend_it():
    for rule in known_rules():
        assert said(rule.name)
        assert said(rule.name, ".mend").endswith(".")
        assert not said(rule.name).endswith(".")


if __name__ == "__main__":
    page = PAGE.read_text(encoding="utf-8").partition(MARK)[0]
    PAGE.write_text(page + MARK + "\n" + lists(), encoding="utf-8")
