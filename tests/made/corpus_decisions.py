"""Bad decisions that somebody saved from a page, and bad designs of check strips."""

import json
from pathlib import Path
from typing import Any

from corpus_case import Case
from corpus_harms import Harm, again, all_of, cases, geojson, outline, put
from shapely.geometry import mapping

FILE, DESIGN = "decisions.json", "strips/design.geojson"
DEEP = 100_000
METRES = {"type": "name", "properties": {"name": "EPSG:32615"}}
ANSWERED = {"command": ("check", "{field}")}  # a doubt: the answer stands in what is printed
MADE = {
    "schema_version": 1,
    "kind": "sprayworth decisions",
    "zones_id": "0000",
    "field": "q00001",
    "decisions": [{"zone": 1, "action": "skip", "reason": "too wet"}],
}


def to_utf16(raw: bytes) -> bytes:
    return raw.decode().encode("utf-16")


def told(*decisions: Any, **head: Any) -> Harm:
    """Save decisions, and other things than are right at their head."""
    return put(FILE, json.dumps(MADE | ({"decisions": list(decisions)} if decisions else {}) | head))


def one(**cells: Any) -> dict[str, Any]:
    return {"zone": 1, "action": "skip", "reason": "too wet"} | cells


def leading(name: str, target: str) -> Harm:
    """Make a file of the field, or of the farm with `../`, a link."""

    def harm(field: Path) -> None:
        (field / name).parent.mkdir(exist_ok=True)
        (field / name).symlink_to(target)

    return harm


DECIDED = {
    "that lead to a device": (leading(FILE, "/dev/zero"), 3, (FILE, "pipe or a device")),
    "that lead to nothing": (leading(FILE, "/nowhere"), 2, (FILE, "no such file")),
    "of other zones of another field": (
        told(field="another"),
        3,
        (FILE, "made for other zones", "of another", "decide again"),
    ),
    "not JSON": (put(FILE, "zone 1: skip"), 3, (FILE, "line 1 is no JSON")),
    "cut short": (all_of(told(), again(FILE, lambda raw: raw[:90])), 3, (FILE, "no JSON")),
    "saved as UTF-16": (
        all_of(told(), again(FILE, lambda raw: raw.decode().encode("utf-16"))),
        3,
        (FILE, "no text"),
    ),
    "lists in lists": (put(FILE, "[" * DEEP), 3, (FILE, "no file of decisions")),
    "objects in objects": (put(FILE, '{"a":' * DEEP), 3, (FILE, "no file of decisions")),
    "of three megabytes": (told(note="x" * 3_000_000), 3, (FILE, "too large")),
    "of another kind": (told(kind="decisions"), 3, (FILE, '"kind"')),
    "of a version to come": (told(schema_version=99), 3, (FILE, "newer version")),
    "of a version that is no number": (told(schema_version="1"), 3, (FILE, "schema_version")),
    "a zone twice": (told(one(), one(action="spray")), 3, (f"{FILE}: decision 2", "decided twice")),
    "a zone of nothing": (told(one(zone=0)), 3, (f"{FILE}: decision 1", "zone")),
    "a zone of half": (told(one(zone=1.5)), 3, (f"{FILE}: decision 1", "zone")),
    "a number of many digits": (
        all_of(told(), again(FILE, lambda raw: raw.replace(b'"zone": 1', b'"zone": ' + b"1" * 10_000))),
        3,
        (FILE, "no file of decisions"),
    ),
    "a rate that is no number": (told(one(action="spray", rate_gal_ac=float("nan"))), 3, (FILE,)),
    "a rate without end": (
        all_of(
            told(one(action="spray", rate_gal_ac=15)), again(FILE, lambda raw: raw.replace(b"15", b"1e999"))
        ),
        3,
        (f"{FILE}: zone 1", "rate_gal_ac"),
    ),
    "a rate below nothing": (
        told(one(action="spray", rate_gal_ac=-15)),
        3,
        (f"{FILE}: zone 1", "rate_gal_ac"),
    ),
    "a rate for a zone that is skipped": (told(one(rate_gal_ac=15)), 3, (f"{FILE}: zone 1", "skipped")),
    "an action of nobody": (told(one(action="burn")), 3, (f"{FILE}: zone 1", "action", "spray or skip")),
    "no reason": (told(one(reason="  ")), 3, (f"{FILE}: zone 1", "reason is missing")),
    "a reason that turns around": (told(one(reason="\u202eteW")), 3, (f"{FILE}: zone 1", "do not show")),
    "a reason of many letters": (told(one(reason="x" * 301)), 3, (f"{FILE}: zone 1", "301 letters")),
    "a day of 29 February": (told(one(decided_on="2026-02-29")), 3, (f"{FILE}: zone 1", "decided_on")),
    "no list of decisions": (told(decisions={"1": "skip"}), 3, (FILE, "no list")),
    "a decision of a text": (told("skip"), 3, (f"{FILE}: decision 1", "no object")),
    "a field that empties the screen": (told(field="\u001b[2J"), 3, (FILE, "field")),
}

LAID: dict[str, Any] = {
    "type": "FeatureCollection",
    "schema_version": 1,
    "field": "q00001",
    "laid_on": "2026-07-01",
    "season": 2026,
    "seed": 0,
    "width_m": 27.432,
    "heading_deg": 90,
}


def design(*cells: dict[str, Any], **head: Any) -> Harm:
    """Lay strips, each as large as the field, and other things than are right at the head."""

    def harm(field: Path) -> None:
        ground = mapping(outline(field))
        rows = [{"type": "Feature", "geometry": ground} | one for one in cells]
        put(DESIGN, json.dumps(LAID | {"features": rows} | head))(field)

    return harm


def strip(pair: Any, treatment: Any, **more: Any) -> dict[str, Any]:
    return {"properties": {"pair": pair, "treatment": treatment}} | more


PAIR = (strip(1, "untreated"), strip(1, "treated"))
STRIPS = {
    "design not JSON": (put(DESIGN, "strips"), 3, (DESIGN, "no JSON", "--new-strips")),
    "design of lists in lists": (put(DESIGN, "[" * DEEP), 3, (DESIGN, "no JSON")),
    "design of numbers that are none": (
        put(DESIGN, json.dumps(LAID | {"width_m": float("nan")})),
        3,
        (DESIGN, "no JSON"),
    ),
    "design of strips over each other": (design(*PAIR), 3, (DESIGN, "strips 1 and 2 overlap")),
    "design of half a pair": (design(PAIR[0]), 3, (DESIGN, "pair 1 has untreated")),
    "design of a pair of nothing": (design(strip(0, "treated")), 3, (DESIGN, "strip 1: pair is 0")),
    "design of a treatment of nobody": (
        design(strip(1, "<script>alert(1)</script>")),
        3,
        (DESIGN, "strip 1: treatment is"),
    ),
    "design of a treatment that turns around": (
        design(strip(1, "\u202edetaert")),
        3,
        (DESIGN, "strip 1: treatment is", "\\u202e"),
    ),
    "design without a width": (design(*PAIR, width_m=None), 3, (DESIGN, '"width_m"')),
    "design of a day of 29 February": (design(*PAIR, laid_on="2026-02-29"), 3, (DESIGN, "laid_on")),
    "design in metres": (
        all_of(
            design(*PAIR),
            geojson(DESIGN, lambda whole: whole | {"crs": METRES}),
        ),
        3,
        (DESIGN, '"crs"'),
    ),
    "design without shapes": (design(strip(1, "treated", geometry=None)), 3, (DESIGN, "strip 1")),
    "design of another season": (
        design(*PAIR, season=2025),
        0,
        (DESIGN, "2025"),
        {"command": ("check", "{field}")},
    ),
    "design saved as UTF-16": (
        all_of(design(*PAIR), again(DESIGN, to_utf16)),
        3,
        (DESIGN, "UTF-8"),
    ),
    "design that leads to a device": (leading(DESIGN, "/dev/zero"), 3, (DESIGN, "pipe or a device")),
}

CASES: tuple[Case, ...] = (*cases("decisions", DECIDED), *cases("design", STRIPS))
