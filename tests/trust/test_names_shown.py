"""Whatever stands in the files of a field for a name: in what is written it is a text that everybody sees."""

import json
import re
import sqlite3
import zipfile
from contextlib import closing

import corpus_bases
import pytest
from corpus_harms import added, first, geojson, keyed, of_farm, put
from lxml import etree, html
from pypdf import PdfReader

from cli.main import main

SCRIPT = "</script></svg><img src=x onerror=alert(1)><!--"
TURNED = "\u202egnp\u2066\u200f.tset\x1b[2J"  # of a name that reads as another one, and empties the screen
NAME = SCRIPT + TURNED
SEEN = SCRIPT + "gnp.tset[2J"
UP = "../../up"
UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
TEXTS = (".html", ".json", ".geojson", ".csv", ".txt", ".xml", ".XML", ".qml", ".sld", ".toml")


def zones(field):
    """Two zones that somebody drew, each of a hostile name."""
    whole = json.loads((field / "planting.geojson").read_text())
    for one, more in zip(whole["features"], ("1", "2"), strict=True):
        one["properties"] = {"zone": NAME[:40] + TURNED + more}
    (field / "zones.geojson").write_text(json.dumps(whole))


def seen(field):
    """A count whose scout and note are hostile."""
    lon, lat = corpus_bases.middle()
    cells = f"2026-07-06,{lat:.6f},{lon:.6f},R2,7,10"
    put("scouting.csv", f'date,lat,lon,stage,k,n,observer,note\n{cells},"{NAME}","{NAME}"\n')(field)


HARMS = (
    keyed("name", json.dumps(SCRIPT)),
    first(f"variety = {json.dumps(SCRIPT)}\ncontact = {json.dumps(SCRIPT)}\nentrance = {json.dumps(SCRIPT)}"),
    of_farm(keyed("name", json.dumps(SCRIPT), "farm.toml")),
    of_farm(keyed("droplet", json.dumps(SCRIPT), "farm.toml")),
    of_farm(keyed("hub", json.dumps(SCRIPT), "farm.toml")),
    geojson("planting.geojson", lambda whole: whole["features"][0]["properties"].update(variety=NAME)),
    zones,
    seen,
    added('[zones]\nfile = "zones.geojson"\n[[scouting]]\nfile = "scouting.csv"'),
    added(f"[neighbours]\nnorth = {json.dumps(SCRIPT)}"),
)


@pytest.fixture(scope="module")
def out(tmp_path_factory):
    """The files of a field in which everything has a hostile name; what was printed lies beside."""
    base = corpus_bases.BASES["plain"](tmp_path_factory.mktemp("names") / "farm")
    field = base / corpus_bases.FIELD["plain"]
    for harm in HARMS:
        harm(field)
    (farm := base / "farm.toml").write_text(
        farm.read_text().replace('"rig 1a"', json.dumps(SCRIPT)).replace("rig 1b", UP)
    )
    today = corpus_bases.TODAY["plain"].isoformat()
    with pytest.raises(SystemExit) as end:
        main(["run", str(field), "--today", today, "--quiet"])
    assert end.value.code == 0
    return field / "out"


def texts(out):
    """Every text that was written, also those in a zip, by its name."""
    for path in sorted(out.rglob("*")):
        if path.suffix in TEXTS:
            yield path.name, path.read_bytes().decode("utf-8")
        elif path.suffix == ".gpkg":
            with closing(sqlite3.connect(path)) as base:
                yield path.name, "\n".join(base.iterdump())
        elif path.suffix == ".zip":
            with zipfile.ZipFile(path) as packed:
                assert all(re.fullmatch(r"[\w./-]+", name) and ".." not in name for name in packed.namelist())
                inside = [name for name in packed.namelist() if name.endswith(TEXTS)]
                yield from ((name, packed.read(name).decode("utf-8")) for name in inside)


def test_no_name_makes_a_file_elsewhere_or_of_an_odd_name(out):
    names = [path.relative_to(out).as_posix() for path in out.rglob("*")]
    assert len(names) > 30
    assert all(re.fullmatch(r"[\w./-]+", name) and ".." not in name for name in names)
    assert {path.name for path in out.parent.iterdir()} >= {"out", "zones.geojson"}
    outside = [path.name for home in (out.parents[1], out.parents[2]) for path in home.iterdir()]
    assert not [name for name in outside if "script" in name or "up" in name]


def test_no_text_that_is_written_turns_around_or_holds_letters_of_control(out):
    found = list(texts(out))
    assert len(found) > 15
    assert not [name for name, text in found if UNSEEN.search(text)]
    assert any(SEEN[:40] in text for _, text in found)


def test_a_name_is_a_text_on_the_page_and_no_element(out):
    tree = html.fromstring((out / "page.html").read_bytes())
    assert not tree.xpath("//*[@onerror or @onload or @onclick]")
    assert not tree.xpath("//img[@src='x']")
    assert SCRIPT in tree.xpath("string(//header)")
    scripts = [one.text or "" for one in tree.xpath("//script")]
    assert scripts
    assert not any("<img" in one or "<!--" in one for one in scripts)


def test_every_xml_file_is_read_and_has_the_elements_of_its_form_only(out):
    files = [path for path in out.rglob("*") if path.suffix.lower() in (".xml", ".qml", ".sld", ".svg")]
    assert len(files) > 3
    for path in files:
        tree = etree.parse(path, etree.XMLParser(resolve_entities=False, no_network=True))
        names = {etree.QName(one).localname.lower() for one in tree.iter(etree.Element)}
        assert not names & {"script", "img", "svg"}


def test_paper_shows_the_name_as_it_stands(out):
    text = "".join(page.extract_text() for page in PdfReader(out / "sheet.pdf").pages)
    assert "alert(1)" in text.replace("\n", "")
    assert not UNSEEN.search(text)
