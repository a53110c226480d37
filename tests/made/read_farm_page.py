"""Reads the page of a farm as its readers see it."""

import re
from html import unescape


def words(page):
    """What a reader reads, without style and script."""
    bare = re.sub(r"<(style|script)[^>]*>.*?</\1>", " ", page, flags=re.S)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", bare)))


def rows(page, table="field-table"):
    """The rows of a table: cells without their tags."""
    body = re.search(rf'<table id="{table}">.*?<tbody>(.*?)</tbody>', page, flags=re.S)[1]
    return [
        [re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", cell))).strip() for cell in cells]
        for row in re.findall(r"<tr.*?>(.*?)</tr>", body, flags=re.S)
        if (cells := re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, flags=re.S))
    ]


def figure(page, name):
    found = re.search(rf'id="{name}">([^<]*)', page)
    return None if found is None else unescape(found[1]).strip()
