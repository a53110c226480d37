"""Faults for the zip of a pass, written with zipfile: what is done to it, and the rule that must tell.

Each takes the path of the zip.
"""

import struct
import warnings
import zipfile

from made_sets import of_zip, zip_of


def members(change):
    """Write it again with other members; their checksums are right."""

    def spoil(path):
        inside = of_zip(path)
        zip_of(path, change(inside) or inside)

    return spoil


def without(*names):
    """Write it again with the same checksums, but without some members."""

    def spoil(path):
        with zipfile.ZipFile(path) as file:
            kept = {name: file.read(name) for name in file.namelist() if name not in names}
        with zipfile.ZipFile(path, "w") as file:
            for name, data in kept.items():
                file.writestr(name, data)

    return spoil


def added(name, data=b"0"):
    def spoil(path):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a name twice
            with zipfile.ZipFile(path, "a") as file:
                file.writestr(name, data)

    return spoil


def with_sums(change):
    def spoil(path):
        with zipfile.ZipFile(path) as file:
            kept = {name: file.read(name) for name in file.namelist()}
        kept["SHA256SUMS"] = change(kept["SHA256SUMS"])
        with zipfile.ZipFile(path, "w") as file:
            for name, data in kept.items():
                file.writestr(name, data)

    return spoil


def in_folder(inside):
    return {f"export/{name}": data for name, data in inside.items()}


def packed_by(method):
    """Write it again, packed by another method."""

    def spoil(path):
        inside = of_zip(path)
        with zipfile.ZipFile(path, "w", method) as file:
            for name, data in inside.items():
                file.writestr(name, data)

    return spoil


def in_directory(place, form, value):
    """Write over a value in the entry of the first member in the directory at the end."""

    def spoil(path):
        data = bytearray(path.read_bytes())
        struct.pack_into(form, data, data.index(b"PK\x01\x02") + place, value)
        path.write_bytes(data)

    return spoil


def damaged(path):
    """A byte of the first member, P1_0706.cpg, is another: 30 bytes, its name of 11, then its text."""
    data = bytearray(path.read_bytes())
    data[42] ^= 0xFF
    path.write_bytes(data)


ZIPS = {
    "not a zip": ("no_zip", lambda path: path.write_text("P1")),
    "half a zip": ("no_zip", lambda path: path.write_bytes(path.read_bytes()[:2000])),
    "a way upwards": ("escapes", added("../P1_0706.shp")),
    "a way from the root": ("escapes", added("/etc/P1_0706.shp")),
    "a drive": ("escapes", added("C:\\P1_0706.shp")),
    "two terabytes": ("bomb", in_directory(24, "<I", 4_000_000_000)),
    "a password": ("encrypted", in_directory(8, "<H", 1)),
    "packed by LZMA": ("packed", packed_by(zipfile.ZIP_LZMA)),
    "packed by bzip2": ("packed", packed_by(zipfile.ZIP_BZIP2)),
    "packed by a method of none": ("packed", in_directory(10, "<H", 99)),
    "a name twice": ("twice", added("p1_0706.SHP")),
    "a folder": ("sub_folder", members(in_folder)),
    "no README": ("no_readme", without("README.txt")),
    "no checksums": ("no_sums", without("SHA256SUMS")),
    "only words": ("nothing_known", members(lambda inside: {"README.txt": inside["README.txt"]})),
    "damaged in transport": ("damaged_in_zip", damaged),
    "a member less": ("sum_without_file", without("P1_0706.prj")),
    "a checksum of another file": (
        "sum_differs",
        with_sums(lambda sums: (b"0" if sums[:1] != b"0" else b"1") + sums[1:]),
    ),
    "half a checksum": ("sum_line", with_sums(lambda sums: sums[7:])),
    "no .prj in it": (
        "missing",
        members(lambda inside: {name: data for name, data in inside.items() if name != "P1_0706.prj"}),
    ),
}
