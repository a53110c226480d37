"""Bad files for a terminal, which `sprayworth check FILE` looks at: zips, XML, and what is none of them."""

import io
import zipfile
from pathlib import Path

from corpus_case import Case
from corpus_weather import MANY, Harm


def given(name: str, content: bytes, code: int, *words: str) -> Case:
    """A file that somebody asks to have checked."""
    ending = name.rsplit(".", 1)[1]
    file = f"sent.{ending}"
    harm = lambda field: (field / file).write_bytes(content)
    return Case(f"check of {name}", "check", harm, code, words, "plain", ("check", f"{{field}}/{file}"))


def taskdata(content: bytes) -> Harm:
    def harm(field: Path) -> None:
        (field / "TASKDATA").mkdir()
        (field / "TASKDATA" / "TASKDATA.XML").write_bytes(content)

    return harm


def xml(name: str, content: bytes, *words: str) -> Case:
    command = ("check", "{field}/TASKDATA")
    return Case(f"check of {name}", "check", taskdata(content), 3, words, "plain", command)


def zipped(*members: tuple[str, bytes]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in members:
            file.writestr(name, content)
    return made.getvalue()


ROOT = b'<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1">'
END = b"</ISO11783_TaskData>"
LAUGHS = b'<!DOCTYPE x [<!ENTITY a "%s"><!ENTITY b "%s">]>' % (b"ha" * 500, b"&a;" * 500)
HOSTS = b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
NULLS = b"\0" * 5_000_000

CASES: tuple[Case, ...] = (
    given(
        "a zip out of its folder.zip",
        zipped(("../../x.shp", b"1")),
        3,
        "../../x.shp would be unpacked outside of the folder",
    ),
    given(
        "a zip of nothing but zeros.zip", zipped(("a.geojson", NULLS)), 3, "sent.zip: a.geojson", "is no JSON"
    ),
    given(
        "a zip in a zip.zip",
        zipped(("a.zip", zipped(("b.zip", zipped(("c", b"1")))))),
        3,
        "a.zip: holds no prescription",
    ),
    given(
        "a zip with one name twice.zip",
        zipped(("a.geojson", b"{}"), ("A.geojson", b"{}")),
        3,
        "a.geojson is in it twice",
    ),
    given(
        "a zip that ends too early.zip",
        zipped(("a.geojson", b"{}" * 99))[:60],
        3,
        "sent.zip: is no zip that can be read",
    ),
    given("a program.exe", b"MZ" + bytes(100), 2, "sent.exe: nothing here is a file for a terminal"),
    given("GeoJSON without a bottom.geojson", b"[" * 200_000, 3, "sent.geojson: is no JSON"),
    given("a GeoPackage of text.gpkg", b"<OGRVRTDataSource/>", 3, "sent.gpkg: is no SQLite database"),
    xml("TASKDATA with laughs", LAUGHS + ROOT + b"&b;" + END, "DOCTYPE"),
    xml("TASKDATA with files of others", HOSTS + ROOT + b"&a;" + END, "DOCTYPE"),
    xml("TASKDATA without a bottom", ROOT + b"<TSK>" * MANY, "TASKDATA.XML", "inside each other"),
    xml("TASKDATA without an end", ROOT + b"<TSK A='TSK1'/>" * 60_000, "TASKDATA.XML", "no whole XML"),
    xml("TASKDATA that is none", b"<html/>", "TASKDATA.XML: begins with html"),
)
