"""Cut and changed files: whatever their bytes are, there are findings, and never a traceback."""

import random
import zipfile

import pytest

from zoning.file_checks import check
from zoning.file_checks.finding import Finding

STEP, FINE_STEP = 97, 7  # bytes; of files with less than a kilobyte the finer
FLIPS = 60
NAMES = ("P1_0706.shp", "P1_0706.shx", "P1_0706.dbf", "P1_0706.prj", "P1_0706.geojson", "P1_0706.zip")


def found(path):
    checked = check(path)
    assert all(isinstance(one, Finding) and str(one).count("\n") == 0 for one in checked.findings)
    return checked.findings


@pytest.mark.parametrize("name", NAMES)
def test_a_file_that_ends_too_early_is_told(name, out):
    path = out / "passes" / "P1" / name
    data = path.read_bytes()
    for end in range(0, len(data), STEP if len(data) > 1000 else FINE_STEP):
        path.write_bytes(data[:end])
        assert found(path), f"{name} with {end} of {len(data)} bytes"


@pytest.mark.parametrize("name", NAMES)
def test_changed_bytes_never_end_in_a_traceback(name, out):
    path = out / "passes" / "P1" / name
    data = path.read_bytes()
    draw = random.Random(name)
    for _ in range(FLIPS):
        changed = bytearray(data)
        for _ in range(draw.randint(1, 8)):
            changed[draw.randrange(len(data))] = draw.randrange(256)
        path.write_bytes(changed)
        found(path)


@pytest.mark.parametrize("name", NAMES)
def test_an_empty_file_is_told(name, out):
    path = out / "passes" / "P1" / name
    path.write_bytes(b"")
    assert found(path)


def test_a_file_that_may_not_be_read_is_told(out, monkeypatch):
    path = out / "passes" / "P1" / "P1_0706.geojson"

    def refuse(self):
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(type(path), "read_bytes", refuse)
    (one,) = found(path)
    assert str(one).startswith("refused: P1_0706.geojson: cannot be read (Permission denied).")


def test_a_folder_that_may_not_be_looked_into_is_no_empty_folder(out, monkeypatch):
    def refuse(self):
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(type(out), "iterdir", refuse)
    with pytest.raises(PermissionError):
        check(out)


def test_names_in_a_zip_cannot_write_over_the_screen(out):
    path = out / "passes" / "P1" / "P1_0706.zip"
    with zipfile.ZipFile(path, "a") as file:
        file.writestr("../\x1b[2J\nrefused: nothing.shp", b"")
        file.writestr("\x1b[2J\nrefused.shp", b"")
    said = [str(one) for one in found(path)]
    assert any("?[2J?refused.shp" in one for one in said)
    assert all(name.isprintable() for name in check(path).files)
    assert any("would be unpacked outside" in one for one in said)
    assert all(one.isprintable() for one in said)


def test_a_file_larger_than_any_prescription_is_not_read(out):
    path = out / "passes" / "P1" / "P1_0706.geojson"
    with path.open("r+b") as file:
        file.truncate(300_000_000)  # no bytes on the disk
    (one,) = found(path)
    assert one.code == "file_checks.too_large"
