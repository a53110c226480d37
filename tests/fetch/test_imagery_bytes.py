"""How much of a scene is read: parts of its files, counted by the server that has them."""

from made_catalogue import TILE, Tile, field_folder, scene


def test_of_a_scene_of_100_mb_two_are_read_for_65_ha(made, get, tmp_path):
    """Blocks of 512 pixels, as a file for the web has them unless told: one of each band holds the field."""
    whole = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0, side=5490)
    scene(made, whole, "2026-06-11")
    size = sum(path.stat().st_size for path in made.folder.rglob("*.tif"))
    assert size > 100e6
    field = field_folder(tmp_path / "large", 328_000.0, 4_871_000.0)
    assert get(field).named
    ranges = [asked for path, asked in made.asked if path.endswith(".tif") and asked != "head"]
    assert all(one.startswith("bytes=") for one in ranges)
    assert made.bytes_of() <= 2e6


def test_only_the_mask_of_a_cloudy_day_is_read(made, get):
    scene(made, TILE, "2026-06-11", classes=lambda mask, _: mask.fill(9))
    scene(made, TILE, "2026-06-16")
    get()
    cloudy = {path.rpartition("/")[2] for path in made.sent if "20260611" in path}
    assert cloudy == {"scl.tif"}


def test_no_file_is_read_twice(made, get):
    scene(made, TILE, "2026-06-16")
    get()
    parts = [one for one in made.asked if one[0].endswith(".tif") and one[1] != "head"]
    assert len(parts) == len(set(parts))
