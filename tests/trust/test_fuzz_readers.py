"""The fuzzer finds what it is there for, tries the same inputs again, and finds nothing in a few of them."""

import importlib.util
import os
import random
import sys
import time
from pathlib import Path

import fuzz_formats
import fuzz_kit
import fuzz_table
import pytest
from fuzz_table import Reader

from zoning.errors import InputError

spec = importlib.util.spec_from_file_location("fuzz_readers", Path(__file__).with_name("fuzz_readers.py"))
fuzz_readers = importlib.util.module_from_spec(spec)
sys.modules["fuzz_readers"] = fuzz_readers  # where its dataclasses look for themselves
spec.loader.exec_module(fuzz_readers)
NAME = f"{fuzz_table.FIELD}/boundary.geojson"


@pytest.fixture(scope="module")
def kit(tmp_path_factory):
    return fuzz_kit.made_kit(tmp_path_factory.mktemp("kit"))


def fuzzed(kit, tmp_path, readers, inputs, seconds=15.0):
    fuzz = fuzz_readers.Fuzz(kit, readers, 1, tmp_path / "findings", seconds=seconds)
    fuzz.run(time.monotonic() + 600, inputs)
    return fuzz.tally


def broken(run):
    return [Reader("broken", (NAME,), lambda kit, known: run())]


def _raise():
    raise KeyError("what nobody expects")


def _unclear():
    raise InputError("", where="", mend="no")


BUGS = {
    "traceback: KeyError": _raise,
    "unclear: no mend": _unclear,
    "crash: the process ended with -6": os.abort,
    "memory": lambda: bytearray(3 << 30),
    "hang: more than": lambda: sum(1 for _ in iter(int, 1)),
}


@pytest.mark.parametrize("sign", BUGS)
def test_each_kind_of_bug_is_found_and_stored_with_its_files(kit, tmp_path, sign):
    tally = fuzzed(kit, tmp_path, broken(BUGS[sign]), 1, seconds=0.5)
    ((reader, told),) = tally.findings
    assert reader == "broken"
    assert told.startswith(sign)
    (place,) = tally.findings[reader, told]
    assert (place / "kit" / NAME).is_file()
    assert (place / "finding.json").is_file()


def test_the_same_seed_gives_the_same_files_and_others_give_others(kit):
    made = [fuzz_readers.spoiled(kit, fuzz_table.READERS[1], seed, 7, {}) for seed in (1, 1, 2)]
    assert made[0] == made[1] != made[2]


@pytest.mark.parametrize("name", sorted({name for reader in fuzz_table.READERS for name in reader.files}))
def test_files_of_every_kind_are_changed(kit, name):
    data = (kit / name).read_bytes()
    changed = [fuzz_formats.changed(random.Random(seed), name, data) for seed in range(4)]
    assert sum(one != data for one in changed) >= 2


def test_a_few_spoiled_files_of_every_kind_are_read_or_refused_in_clear_lines(kit, tmp_path):
    tally = fuzzed(kit, tmp_path, fuzz_table.READERS, 6 * len(fuzz_table.READERS))
    assert tally.findings == {}
    assert set(tally.tried.values()) == {6}
    assert tally.kinds["read"] > 20
    assert tally.kinds["refused"] > 20
