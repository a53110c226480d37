"""The small copy of the page's scripts is made from them as they are. Run this file to write it anew."""

import hashlib
import re
from importlib.metadata import version
from pathlib import Path

import pytest

import zoning.show.page
from zoning.show.page import own_files

COPY = Path(zoning.show.page.__file__).parent / "page.min.js"
LIBRARY = "tdewolff-minify"
MEND = "run `python tests/show/page/test_small_script.py` (it needs the library tdewolff-minify)"


def digest() -> str:
    """What the scripts are, in short."""
    return hashlib.sha256(own_files.sources().encode()).hexdigest()


def small_copy() -> str:
    """The scripts made small, and above them what they were made from and by what."""
    import minify

    minify.config({"js-version": 2019})  # no newer language than that of the scripts themselves
    text = minify.string("text/javascript", own_files.sources())
    return f"// js/*.js of sha256 {digest()}, made small by {LIBRARY} {version(LIBRARY)}\n{text}\n"


def test_the_small_copy_was_made_from_the_scripts_as_they_are():
    first = COPY.read_text(encoding="utf-8").partition("\n")[0]
    assert digest() in first, MEND


def test_the_small_copy_is_what_the_library_makes_of_the_scripts():
    pytest.importorskip("minify", reason=f"{LIBRARY} is not installed")
    copy = COPY.read_text(encoding="utf-8")
    made_by = copy.partition("\n")[0].split()[-1]
    if made_by != version(LIBRARY):
        pytest.skip(f"made by {LIBRARY} {made_by}, here is {version(LIBRARY)}")
    assert copy == small_copy(), MEND


def test_the_page_has_the_small_copy_without_its_first_line_and_the_desk_the_scripts_as_they_stand():
    shipped = own_files.script()
    assert COPY.read_text(encoding="utf-8").split("\n", 1)[1] == f"{shipped}\n"
    assert "sha256" not in shipped
    assert len(shipped.encode()) < 0.6 * len(own_files.sources().encode())
    texts = [path.read_text(encoding="utf-8") for path in (COPY.parent / "js").glob("*.js")]
    assert all(text in own_files.script(desk=True) for text in texts)


def test_nothing_in_a_script_ends_its_element():
    for text in (own_files.script(), own_files.script(desk=True)):
        assert "</" not in text
        assert "<!--" not in text


def test_every_script_has_its_name_in_the_small_copy():
    wanted = re.findall(r"^const (\w+) = ", own_files.sources(), re.MULTILINE)
    assert len(wanted) > 10
    for name in wanted:
        # separate statements: one declaration of many, or many of one
        assert re.search(rf"(?:const |,|\n|;){name}=\(", own_files.script())


def styles():
    texts = [path.read_text(encoding="utf-8") for path in sorted((COPY.parent / "css").glob("*.css"))]
    assert len(texts) > 5
    return texts


def test_a_style_made_tight_has_its_words_and_texts_and_no_comment():
    for text in styles():
        tight = own_files._tight(text)
        bare = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
        assert re.sub(r"\s", "", tight) == re.sub(r"\s", "", bare).replace(";}", "}")
        assert re.findall(r"[\w-]+", tight) == re.findall(r"[\w-]+", bare)
        assert re.findall(r'"[^"]*"', tight) == re.findall(r'"[^"]*"', bare)
        assert len(tight) < len(bare)


def test_a_style_made_tight_means_the_same_to_the_library():
    minify = pytest.importorskip("minify", reason=f"{LIBRARY} is not installed")
    for text in styles():
        assert minify.string("text/css", own_files._tight(text)) == minify.string("text/css", text)


def test_by_hand_blanks_that_mean_something_stay():
    text = 'a :hover , b > .c  d { x : 0  2px; content: " ; {  " }/**/\n@media (width >= 2px) { f { x: y; } }'
    assert own_files._tight(text) == (
        'a :hover,b > .c d{x :0 2px;content:" ; {  "}@media (width >= 2px){f{x:y}}'
    )


if __name__ == "__main__":
    COPY.write_text(small_copy(), encoding="utf-8", newline="\n")
