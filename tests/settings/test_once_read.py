"""What is kept of a file is what stands in it now; and no field changes what another one reads."""

import os
from pathlib import Path
from types import SimpleNamespace

import pytest

from zoning import once_read
from zoning.errors import InputError
from zoning.settings.read import load


@pytest.fixture(autouse=True)
def _empty():
    once_read.forget()
    yield
    once_read.forget()


def aged(path: Path, seconds: float = 60.0) -> Path:
    """Make a file look as if it had been written a while ago."""
    when = path.stat().st_mtime - seconds
    os.utime(path, (when, when))
    return path


def counting(path: Path, made: list[str]):
    def make() -> str:
        made.append(path.read_text())
        return made[-1]

    return make


def test_a_file_is_read_once_until_it_changes(tmp_path):
    made: list[str] = []
    path = tmp_path / "a.csv"
    path.write_text("one")
    aged(path)
    assert [once_read.of_file(path, "text", counting(path, made)) for _ in range(3)] == ["one"] * 3
    assert made == ["one"]
    other = tmp_path / "b.csv"
    other.write_text("two")
    os.utime(other, ns=(path.stat().st_mtime_ns, path.stat().st_mtime_ns))
    other.replace(path)  # as long as before, and as old
    assert once_read.of_file(path, "text", counting(path, made)) == "two"
    path.write_text("six")  # in its place
    aged(path, 120)
    assert once_read.of_file(path, "text", counting(path, made)) == "six"
    assert once_read.of_file(path, ("text", 2), lambda: "asked otherwise") == "asked otherwise"


def test_where_time_stamps_are_whole_seconds_nothing_is_kept(tmp_path, monkeypatch):
    path = tmp_path / "a.csv"
    path.write_text("one")
    state = path.stat()
    coarse = SimpleNamespace(
        **{name: getattr(state, name) for name in ("st_dev", "st_ino", "st_size")},
        st_mtime_ns=1_783_468_800_000_000_000,
        st_ctime_ns=1_783_468_800_000_000_000,
    )
    monkeypatch.setattr(Path, "stat", lambda _path: coarse)
    assert once_read.of_file(path, "text", lambda: "one") == "one"
    assert once_read.of_file(path, "text", lambda: "two") == "two"


def test_a_fault_and_an_absent_file_are_not_kept(tmp_path):
    path = tmp_path / "a.csv"

    def refuse() -> str:
        raise InputError("no", where="a.csv", mend="Mend it.")

    assert once_read.of_file(path, "text", lambda: "absent") == "absent"
    path.write_text("one")
    aged(path)
    with pytest.raises(InputError):
        once_read.of_file(path, "text", refuse)
    assert once_read.of_file(path, "text", path.read_text) == "one"


def test_it_stays_small(tmp_path, monkeypatch):
    monkeypatch.setattr(once_read, "_MOST", 3)
    paths = [tmp_path / f"{at}.csv" for at in range(5)]
    made: list[str] = []
    for path in paths:
        path.write_text(path.name)
        once_read.of_file(aged(path), "text", counting(path, made))
        once_read.of_file(paths[0], "text", counting(paths[0], made))
    assert made == [path.name for path in paths], "what is asked for again and again stays"
    once_read.of_file(paths[1], "text", counting(paths[1], made))
    assert made[-1] == "1.csv", "what nobody asked for goes"
    monkeypatch.setattr(once_read, "_MOST_BYTES", 4)
    once_read.of_file(paths[2], "anew", counting(paths[2], made))
    assert not once_read._things


def test_a_little_of_a_large_file_drives_nothing_out(tmp_path, monkeypatch):
    monkeypatch.setattr(once_read, "_MOST_BYTES", 10)
    small, large = tmp_path / "small.csv", tmp_path / "large.tif"
    small.write_text("small")
    large.write_text("large" * 10)
    aged(small), aged(large)
    made: list[str] = []
    for _ in range(2):
        once_read.of_file(small, "text", counting(small, made))
        once_read.of_file(large, "hash", counting(large, made), is_little=True)
    assert made == ["small", "large" * 10]


def write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text)


def farm_of(folder: Path) -> list[Path]:
    """Three fields: one takes the farm's sprayers, one has its own, one has a money table of its own."""
    write(folder / "farm.toml", FARM)
    write(folder / "plain" / "field.toml", TOP)
    write(folder / "own" / "field.toml", f"{TOP}{SPRAYER.replace('rig', 'mine')}")
    write(folder / "price" / "field.toml", TOP + '[money]\ngrain_price = "9 USD/bu"\n')
    return [folder / name for name in ("plain", "own", "price")]


TOP = """name = "A field"
maturity_group = 1.6
"""
SPRAYER = """
[[sprayer]]
name = "rig"
kind = "ground"
boom = "90 ft"
nozzle = "04"
nozzle_spacing = "20 in"
pressure = ["30 psi", "90 psi"]
speed = ["5 mph", "14 mph"]
tank = "1000 gal"
fill_min = 20
tracks_exist = true
"""
FARM = f"""name = "A farm"
[money]
grain_price = "10 USD/bu"
product = "19 USD/ac"
pass = "9 USD/ac"
[response]
source = "pooled trials"
{SPRAYER}"""


def told(folder: Path) -> tuple[object, ...]:
    settings = load(folder)
    return settings, settings.origin, settings.given, settings.missing


def test_fields_of_a_farm_read_the_same_as_each_alone(tmp_path):
    fields = farm_of(tmp_path)
    alone = []
    for one in fields:
        once_read.forget()
        alone.append(told(one))
    once_read.forget()
    for path in (tmp_path / "farm.toml", *(one / "field.toml" for one in fields)):
        aged(path)
    for order in (fields, fields[::-1], fields):
        assert [told(one) for one in order] == [alone[fields.index(one)] for one in order]
    assert once_read._things
    assert load(fields[0]).sprayers[0] is load(fields[2]).sprayers[0], "checked once for the farm"
    assert load(fields[1]).sprayers[0].name == "mine"
    assert load(fields[2]).where("money.product") == 'farm.toml:4: money.product = "19 USD/ac"'
    assert load(fields[2]).where("money.grain_price") == 'field.toml:4: money.grain_price = "9 USD/bu"'


def test_faults_of_a_farms_sprayer_are_told_in_every_field(tmp_path):
    fields = farm_of(tmp_path)
    write(tmp_path / "farm.toml", FARM.replace('"04"', '"99"').replace('"1000 gal"', '"10 apples"'))
    for path in (tmp_path / "farm.toml", *(one / "field.toml" for one in fields)):
        aged(path)
    for one in (fields[0], fields[2], fields[0]):
        with pytest.raises(InputError) as fault:
            load(one)
        assert [each.where.partition(" =")[0] for each in fault.value.faults] == [
            "farm.toml:13: sprayer[1].nozzle",
            "farm.toml:17: sprayer[1].tank",
        ]
    assert load(fields[1]).sprayers[0].name == "mine"
    write(tmp_path / "farm.toml", FARM)
    aged(tmp_path / "farm.toml", 90)
    assert load(fields[0]).sprayers[0].name == "rig"
