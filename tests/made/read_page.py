"""A page read as a person or a browser reads it: its elements by id, its texts, its figures."""

import json
import re

import lxml.html


def read(text: str):
    """Tree of a page."""
    return lxml.html.document_fromstring(text)


def at(tree, name: str):
    """The element with an id."""
    (found,) = tree.xpath("//*[@id=$name]", name=name)
    return found


def words(element) -> str:
    """What an element says, its white space as one reads it; scripts, styles and data say nothing."""
    parts = element.xpath(".//text()[not(ancestor::script) and not(ancestor::style)]")
    return (
        re.sub(r"\s+", " ", " ".join(parts)).strip().replace(" ,", ",").replace(" .", ".").replace(" ;", ";")
    )


def said(tree, name: str) -> str:
    """What the element with an id says."""
    return words(at(tree, name))


def data(tree) -> dict:
    """What the scripts start from; lists of objects that are written as tables are lists again."""

    def listed(one: dict):
        if one.keys() != {"keys", "rows"}:
            return one
        return [dict(zip(one["keys"], row, strict=True)) for row in one["rows"]]

    return json.loads(at(tree, "data").text, object_hook=listed)


def figures(element):
    """Quantity, exact value (None where there is none) and text of each figure."""
    for one in element.xpath(".//*[@data-q]"):
        value = one.get("data-v")
        yield one.get("data-q"), float(value) if value else None, one.text
