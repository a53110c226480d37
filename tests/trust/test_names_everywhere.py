"""Names as people type them under the rules of Windows and macOS, and XML that holds them.

`tests/prescription/test_odd_names.py` writes whole plans under some such names; here any name is tried on
what makes names of files and texts of XML.
"""

import io
import unicodedata
from dataclasses import replace
from xml.etree.ElementTree import fromstring

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from lxml import etree
from made_inputs import FIELD, TODAY, Folder
from made_plans import Made, made_plan
from made_sheets import made_sheet

from zoning.errors import InputError
from zoning.file_checks import check
from zoning.inputs.read import field as read_field
from zoning.inputs.scouting import gpx
from zoning.prescription.of_a_pass.bundle import field_in_name
from zoning.prescription.styles import ours, qml, sld
from zoning.prescription.taskdata import folders
from zoning.prescription.taskdata.document import written
from zoning.settings.read import load
from zoning.show.page import map_svg

RESERVED = {
    "con",
    "prn",
    "aux",
    "nul",
    "conin$",
    "conout$",
    *(f"{one}{n}" for one in ("com", "lpt") for n in range(10)),
}
FORBIDDEN = set('<>:"/\\|?*') | {chr(code) for code in range(32)}
LONGEST = 255  # bytes, of one name
NAMES = st.one_of(
    st.text(max_size=300),
    st.sampled_from(sorted(RESERVED)).flatmap(
        lambda name: st.sampled_from([name, name.upper(), f"{name}.txt", f" {name} "])
    ),
    st.text("Aa Bb.-_é\u0301 ", max_size=12),
)
# Each pair lies in one place on a disk that does not tell capitals apart, or writes letters in another form.
ALIKE = [
    ("North", "north"),
    ("NORTH 40", "North 40"),
    ("Caf\N{LATIN SMALL LETTER E WITH ACUTE}", "Cafe\N{COMBINING ACUTE ACCENT}"),
    ("a b", "a_b"),
    ("a.", "a"),
    ("a ", "a"),
    ("Stra\N{LATIN SMALL LETTER SHARP S}e", "STRASSE"),
    ("x" * 300, "x" * 299),
    ("con", "CON"),
    ("\N{HELICOPTER}", "\N{EAR OF RICE}"),
]


def legal(name: str) -> bool:
    """Under the rules of Windows and macOS, and not taken for an option by a shell."""
    return (
        0 < len(name.encode()) <= LONGEST
        and not set(name) & FORBIDDEN
        and name[-1] not in ". "
        and name[0] not in ".-~ "
        and name.split(".")[0].rstrip().lower() not in RESERVED
        and unicodedata.is_normalized("NFC", name)
        and unicodedata.is_normalized("NFD", name)
    )


@given(NAMES)
@example("CON")
@example("nul.shp")
@example("\u202egpj.exe")
@example("..")
@example("-rf")
def test_a_zip_of_any_field_has_a_legal_name(name):
    file = f"{field_in_name(name)}_P1_0714.zip"
    assert legal(file)
    # in the folder of a pass, it leaves 260 letters of a path to the folders around the farm
    assert len(f"out/passes/P1/{file}") < 90


@given(st.lists(NAMES, max_size=6, unique=True))
@example(["CON", "con", "Con.", "con "])
def test_folders_of_sprayers_are_legal_and_apart(names):
    made = folders(names)
    assert sorted(made.values()) == sorted(names)
    assert all(legal(one) for one in made)
    assert len({one.casefold() for one in made}) == len(names)


@pytest.mark.parametrize(("one", "other"), ALIKE)
def test_zips_of_two_fields_never_have_one_name(one, other):
    assert field_in_name(one).casefold() != field_in_name(other).casefold()


@given(st.text(max_size=20), st.text(max_size=20))
def test_no_two_fields_share_the_name_of_a_zip_where_capitals_do_not_count(one, other):
    if one != other:
        assert field_in_name(one).casefold() != field_in_name(other).casefold()


# -- settings that were written on another system ------------------------------------------------------------


def known(folder: Folder):
    return read_field(folder.settings(), today=TODAY)


def test_a_file_is_found_by_the_way_that_windows_writes(tmp_path):
    folder = Folder(tmp_path)
    (folder.field / "maps" / "of 2026").mkdir(parents=True)
    folder.shapes("maps/of 2026/edge.geojson", [FIELD])
    folder.add("[boundary]\nfile = 'maps\\of 2026\\edge.geojson'\n[planting]\ndate = 2026-05-06")
    assert "maps/of 2026/edge.geojson" in known(folder).files


@pytest.mark.parametrize(
    "file", ["C:\\\\fields\\\\edge.geojson", "\\\\\\\\server\\\\share\\\\edge.geojson", "c:edge.geojson"]
)
def test_a_file_on_a_disk_of_another_computer_is_missing_in_one_line(file, tmp_path):
    folder = Folder(tmp_path)
    folder.add(f'[boundary]\nfile = "{file}"\n[planting]\ndate = 2026-05-06')
    with pytest.raises(InputError) as refused:
        known(folder)
    assert refused.value.code == 2
    assert "there is no file" in str(refused.value)


def test_lines_that_end_as_on_windows_say_the_same(tmp_path):
    said = []
    for name, end in (("unix", "\n"), ("dos", "\r\n")):
        folder = Folder(tmp_path / name)
        folder.shapes("boundary.geojson", [FIELD])
        folder.add("[planting]\ndate = 2026-05-06")
        folder.add("[[scouting]]\nfile = 'scouting.csv'")
        rows = ["date,lat,lon,n,r1,r2,note", '2026-07-01,44.305,-95.393,20,12,8,"two, notes"']
        (folder.field / "scouting.csv").write_bytes(end.join([*rows, ""]).encode())
        folder.settings()
        for path in (
            folder.field / "field.toml",
            folder.field / "boundary.geojson",
            folder.path / "farm.toml",
        ):
            path.write_bytes(path.read_bytes().replace(b"\n", end.encode()))
        found = read_field(load(folder.field), today=TODAY)
        said.append((found.boundary.wkt, [repr(one) for one in (*found.counts, *found.sightings)]))
    assert said[0] == said[1]


# -- XML -----------------------------------------------------------------------------------------------------

XML_NAMES = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=40)


def strict(content: bytes):
    """Read by another library, that mends nothing and follows nothing."""
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, recover=False, huge_tree=False
    )
    return etree.parse(io.BytesIO(content), parser)


@settings(max_examples=40)
@given(XML_NAMES)
@example("]]> --> <!DOCTYPE a> &amp; \u202e \x00\x0b\ufffe\uffff")
@example("a\ud7ff\ue000\U0001f681")
def test_xml_holds_any_name(name):
    plan = made_plan(Made(labels=[[1, 1], [2, 2]], field=name, farm=name, pass_of_zone={1: 1}))
    passes = tuple(
        replace(one, sprayer=name, sheet=replace(made_sheet(), product=name)) for one in plan.passes
    )
    plan = replace(
        plan, passes=passes, product=name, zones=tuple(replace(one, name=name) for one in plan.zones)
    )
    files = written([(plan, plan.passes[0])])
    tree = strict(files["TASKDATA.XML"])
    assert tree.docinfo.internalDTD is None
    assert fromstring(files["TASKDATA.XML"].decode()).tag == "ISO11783_TaskData"
    for look in (*ours.of_layers([plan]).values(), ours.prescription(plan)):
        assert strict(qml.of_style(look).encode()).getroot().tag == "qgis"
        assert strict(sld.of_style(look).encode()).getroot().tag.endswith("StyledLayerDescriptor")
    drawn = strict(map_svg.svg(plan).encode())
    assert drawn.getroot().tag.endswith("svg")
    assert not [one for one in drawn.iter() if one.tag is not etree.Comment and "script" in str(one.tag)]


BOMB = '<?xml version="1.0"?><!DOCTYPE {root} [<!ENTITY a "{a}">{more}]><{root}>&z;</{root}>'
STEPS = "".join(
    f'<!ENTITY {new} "{f"&{old};" * 10}">' for old, new in zip("abcdefghi", "bcdefghiz", strict=True)
)
OUTSIDE = [
    '<!DOCTYPE {root} SYSTEM "http://127.0.0.1:9/x.dtd"><{root}/>',
    '<!DOCTYPE {root} [<!ENTITY z SYSTEM "file:///etc/passwd">]><{root}>&z;</{root}>',
    '<!DOCTYPE {root} [<!ENTITY % p SYSTEM "http://127.0.0.1:9/p">%p;]><{root}/>',
    BOMB.replace("{a}", "a" * 100).replace("{more}", STEPS),
    BOMB.replace("{a}", "a" * 100_000).replace("{more}", f'<!ENTITY z "{"&a;" * 1000}">'),
]


@pytest.mark.parametrize("text", OUTSIDE)
def test_no_xml_that_is_read_unfolds_or_leads_elsewhere(text, tmp_path):
    with pytest.raises(InputError, match="document type or entities"):
        gpx.read(text.replace("{root}", "gpx").encode(), "a.gpx")
    folder = tmp_path / "TASKDATA"
    folder.mkdir()
    (folder / "TASKDATA.XML").write_text(text.replace("{root}", "ISO11783_TaskData"), encoding="utf-8")
    found = check(folder).findings
    assert {one.code for one in found} == {"file_checks.iso_own_entities"}
