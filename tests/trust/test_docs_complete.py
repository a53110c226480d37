"""The docs name everything there is, and every figure and link in them holds.

Run this file as a program to write docs/reference/errors.md and docs/reference/notes.md anew.
"""

import ast
import inspect
import re
import sys
from pathlib import Path

if __name__ == "__main__":  # pytest puts it on the path by itself
    sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

import pytest
from evidence_words import value_words
from faults_in_code import GAP, faults
from names_in_code import modules
from pages_of_words import GROUPS, errors_page, group_of, notes_page

from zoning import __version__, evidence, service
from zoning.settings.read import FARM_FILE, FIELD_FILE
from zoning.words import SENTENCES

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([*DOCS.rglob("*.md"), ROOT / "README.md", ROOT / "DEVELOPERS.md"])
ERRORS, NOTES = DOCS / "reference" / "errors.md", DOCS / "reference" / "notes.md"
SCIENCE = DOCS / "explanation" / "science.md"
GLOSSARY = DOCS / "reference" / "glossary.md"
CODE = re.compile(r"^( *)```.*?^\1```$", re.MULTILINE | re.DOTALL)
WITHOUT_MEND = 25  # faults whose mend is put together where it cannot be followed; measured: 17


def text_of(page):
    return page.read_text(encoding="utf-8")


def prose(page):
    """A page without its blocks of code and without code in its lines."""
    return re.sub(r"`[^`\n]+`", "", CODE.sub("", text_of(page)))


def anchors(page):
    """The anchors of a page's headings, as sites that show Markdown make them."""
    found, seen = set(), {}
    for heading in re.findall(r"^#+ (.+)$", CODE.sub("", text_of(page)), re.MULTILINE):
        plain = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading)
        name = re.sub(r"[^\w\- ]", "", plain.lower()).replace(" ", "-")
        count = seen[name] = seen.get(name, -1) + 1
        found.add(f"{name}-{count}" if count else name)
    return found


# -- links and pictures --------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_to_a_page_and_to_its_heading(page):
    for target in re.findall(r"\]\(([^)\s]+)\)", prose(page)):
        if target.startswith("http"):
            continue
        name, _, anchor = target.partition("#")
        there = (page.parent / name).resolve() if name else page
        assert there.exists(), target
        if anchor:
            assert anchor in anchors(there), target


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_picture_says_what_it_shows(page):
    for words, target in re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", text_of(page)):
        assert len(words.split()) >= 4, target


def test_every_picture_is_shown_somewhere():
    shown = {
        (page.parent / target).resolve()
        for page in PAGES
        for target in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", text_of(page))
    }
    assert set(DOCS.rglob("*.png")) == shown


def test_every_page_stands_in_an_index():
    reached, waiting = set(), [ROOT / "README.md"]
    while waiting:
        here = waiting.pop()
        reached.add(here)
        for target in re.findall(r"\]\(([^)#\s:]+\.md)", text_of(here)):
            there = (here.parent / target).resolve()
            if there.exists() and there not in reached:
                waiting.append(there)
    assert set(PAGES) <= reached
    for folder in ("reference", "explanation"):
        index = text_of(DOCS / folder / "README.md")
        for page in (DOCS / folder).glob("*.md"):
            assert page.name == "README.md" or f"]({page.name})" in index, page.name


# -- what the program says -----------------------------------------------------------------------------------


def test_the_page_of_faults_is_what_the_source_says():
    assert text_of(ERRORS) == errors_page()


def test_the_page_of_notes_is_what_the_words_say():
    assert text_of(NOTES) == notes_page()
    assert all(f"| `{code}` |" in text_of(NOTES) for code in SENTENCES)


def test_every_fault_says_how_to_mend_it():
    unknown = [one for one in faults() if one.mend == GAP]
    assert len(faults()) > 400
    assert len(unknown) <= WITHOUT_MEND, unknown
    for one in faults():
        assert group_of(one) in GROUPS
        assert one.mend == GAP or one.mend.endswith((".", GAP)), one


def test_names_of_files_stand_in_the_reference():
    """Every name of a file that code writes or reads by a fixed name."""
    pages = "".join(text_of(page) for page in (DOCS / "reference").glob("*.md"))
    names = {FARM_FILE, FIELD_FILE}
    ours = {"about.json", "thing.json", "before.json"}  # inside offer.npz and the desk's history
    ours |= {path.name for path in (ROOT / "zoning").rglob("*") if path.suffix in (".toml", ".html")}
    for module in modules():
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                whole = re.fullmatch(
                    r"[\w/]+\.(?:csv|json|toml|html|pdf|png|gpkg|shp|parquet|geojson|tif|txt|jsonl)",
                    node.value,
                )
                names |= {node.value} if whole else set()
    assert len(names) > 30
    missing = sorted(name for name in names - ours if name.rsplit("/", 1)[-1] not in pages)
    assert not missing


def test_every_public_name_says_what_it_takes_and_gives():
    """Docstrings of `zoning.service`: each argument, what comes back, what is raised, and an example."""
    for name in service.__all__:
        thing = getattr(service, name)
        told = inspect.getdoc(thing) or ""
        assert len(told.split()) > 10, name
        assert "Examples" in told or name in ("PlannedField", "PlannedFarm"), name
        if inspect.isfunction(thing):
            assert "Raises" in told, name
            assert all(re.search(rf"\b{one}\b", told) for one in inspect.signature(thing).parameters), name
    for kind in (service.PlannedField, service.PlannedFarm):
        for name, thing in vars(kind).items():
            if not name.startswith("_") and (inspect.isfunction(thing) or isinstance(thing, property)):
                assert inspect.getdoc(thing), f"{kind.__name__}.{name}"


# -- words and figures ---------------------------------------------------------------------------------------

NEEDED = (
    "block zone R1 R2 R3 R4 R5 R6 R7 closes pass plan prescription count evidence provisional draw "
    "level schedule alone swath boom section nozzle hub carrier label rainfast droplet adjuvant dose "
    "setback lesion pressure severity canopy layer index boundary response break-even chance range rule "
    "toss-up min_net spray strip pair header treated verdict doubt decision desk maturity determinate "
    "indeterminate frogeye rust inversion terminal cell heading guidance horizon gap bound flip run "
    "seed farm field scout count window as_of GeoJSON GPX CRS ISO published standard computed common "
    "assumption memory "
)


def test_the_glossary_has_every_word_once_in_order_with_its_unit():
    rows = re.findall(r"^\| (.+?) \| (.+?) \| (.+?) \|$", text_of(GLOSSARY), re.MULTILINE)[2:]
    words = [word for word, _, _ in rows]
    assert len(words) == len(set(words)) > 120
    assert words == sorted(words, key=lambda word: re.sub("[^a-z0-9]", "", word.casefold()))
    assert all(len(meaning.split()) >= 3 and unit for _, meaning, unit in rows)
    known = set(re.findall(r"[\w-]+", " ".join(words).casefold()))
    meanings = " ".join(meaning for _, meaning, _ in rows).casefold()
    absent = [one for one in NEEDED.split() if one.casefold() not in known and one.casefold() not in meanings]
    assert not absent
    for kind in evidence.KINDS:
        assert kind in words


def test_every_figure_of_the_science_page_is_that_of_the_evidence():
    page = text_of(SCIENCE)
    rows = re.findall(r"^\| `([\w.]+)` \| (.+?) \| (.+?) \| .+ \|$", page, re.MULTILINE)
    assert len(rows) > 55
    for key, value, kind in rows:
        entry = evidence.entry(key)
        assert (value, kind) == (value_words(entry), entry.kind), key
    rooms = "|".join(evidence.rooms())
    for key in re.findall(rf"`((?:{rooms})\.\w+)`", page):
        assert evidence.entry(key).key == key
    assert {key.split(".")[0] for key, _, _ in rows} >= {
        "stage",
        "zones",
        "returns",
        "passes",
        "sprayer",
        "strips",
    }


def test_every_entry_of_evidence_that_a_page_names_exists():
    known = [one.key for one in evidence.find()]
    rooms = "|".join(evidence.rooms())
    for page in PAGES:
        for key in re.findall(rf"`((?:{rooms})\.[a-z]\w+)`", text_of(page)):
            room, name = key.split(".")
            is_code = any((ROOT / "zoning" / room / one).exists() for one in (name, f"{name}.py"))
            is_file = name in ("gpkg", "tif", "geojson", "py")
            is_other = is_code or is_file or key in SENTENCES or page.name in ("settings.md", "inputs.md")
            assert is_other or any(one.startswith(key) for one in known), (page.name, key)


def test_how_to_cite_names_the_version_of_the_package():
    page = text_of(DOCS / "how-to-cite.md")
    assert re.findall(r"version (\d+(?:\.\d+)+)", page) == [__version__, __version__]
    assert "@misc{sprayworth" in page
    assert "doi =" not in page.casefold()


if __name__ == "__main__":
    ERRORS.write_text(errors_page(), encoding="utf-8")
    NOTES.write_text(notes_page(), encoding="utf-8")
