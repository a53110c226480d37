"""Pictures of inputs: their pixels say what lies where, and a folder is written whole or not at all."""

import io
import re
import shutil
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import shapely
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder, weather_rows
from PIL import Image
from pyproj import Geod
from shapely import LineString, Point, box

from zoning import colours, preview
from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs import area, store
from zoning.preview import drawn, folder, ground, lies, picture, season

IMAGE = """[[imagery]]
file = "imagery/2026-06-28_x.tif"
bands = { rededge = 1, nir = 2 }
index = "NDRE"
"""
LAYER = "[[layer]]\nname = 'height'\nfile = 'layers/height.tif'\n"
INTO = "pictures"


@pytest.fixture
def made(tmp_path: Path) -> Folder:
    one = Folder(tmp_path)
    one.shapes("boundary.geojson", [FIELD])
    return one


def canopy(**profile: object) -> tuple[np.ndarray, dict[str, object]]:
    """Two bands whose index rises from west to east, 50 m around the field."""
    nir = np.broadcast_to(np.linspace(0.25, 0.5, 50), (40, 50))
    return np.stack([np.full((40, 50), 0.15), nir]).astype("float32"), profile


def written(made: Folder, text: str = "", today: date = TODAY) -> preview.Previewed:
    made.add("[planting]\ndate = 2026-05-06\n" + text)
    made.settings()
    (one,) = preview.write(made.field, made.path / INTO, today=today, clock=today)
    return one


def pixels(one: preview.Previewed, name: str) -> np.ndarray:
    return np.asarray(Image.open(one.folder / name).convert("RGB")).astype(int)


def words(one: preview.Previewed, name: str) -> str:
    page = (one.folder / "index.html").read_text("utf-8")
    (found,) = re.findall(rf'<img src="{re.escape(name)}" alt="([^"]*)"', page)
    return found


def is_colour(image: np.ndarray, colour: str, within: int = 12) -> np.ndarray:
    return (np.abs(image - np.array(colours.rgb(colour))) <= within).all(axis=-1)


def at(bounds_m: tuple[float, float, float, float], east: float, north: float) -> tuple[int, int]:
    """Row and column of a place, for a map that fills its room."""
    west, south, far_east, far_north = bounds_m
    left, bottom = 0.2 * drawn.DPI, drawn.HEIGHT * drawn.DPI - 0.62 * drawn.DPI
    dots = picture.ROOM[0] * drawn.DPI / (far_east - west)
    assert dots == pytest.approx(picture.ROOM[1] * drawn.DPI / (far_north - south))
    return round(bottom - (north - south) * dots), round(left + (east - west) * dots)


# -- what lies where --------------------------------------------------------------------------------------


def test_the_outline_lies_where_the_boundary_is(made: Folder) -> None:
    hole = FIELD.difference(box(WEST + 150, SOUTH + 100, WEST + 250, SOUTH + 200))
    made.shapes("boundary.geojson", [hole])
    one = written(made)
    image = pixels(one, "01_boundary.png")
    assert image.shape == (520, 640, 3)
    seen = lies.around(FIELD.bounds)
    ink = is_colour(image, colours.INK)
    for ring in (hole.exterior, hole.interiors[0]):
        for share in np.linspace(0, 1, 40):
            place = ring.interpolate(share, normalized=True)
            row, column = at(seen, place.x, place.y)
            assert ink[row - 2 : row + 3, column - 2 : column + 3].any()
    for east, north, fill in ((200, 150, colours.WHITE), (50, 150, colours.SHADE), (-30, 150, colours.WHITE)):
        row, column = at(seen, WEST + east, SOUTH + north)
        assert is_colour(image, fill)[row, column]


def test_the_words_of_the_boundary_are_its_area_and_place(made: Folder) -> None:
    assert words(written(made), "01_boundary.png").startswith("boundary.geojson: 29.6")


def test_by_hand_colours_of_an_image_are_those_of_its_index(made: Folder) -> None:
    # The index is (N - E) / (N + E): N is 0.2755 in the first column of the field
    # (5 of 49), and the index 0.12551 / 0.42551 = 0.29497; in the last (44) 0.4745 and 0.51961.
    bands, _ = canopy()
    made.image("imagery/2026-06-28_x.tif", bands)
    one = written(made, IMAGE)
    image = pixels(one, "03_imagery_2026-06-28.png")
    seen = lies.around(FIELD.bounds)
    values = (bands[1] - bands[0]) / (bands[1] + bands[0])
    of_field = values[5:35, 5:45]
    low, high = np.percentile(of_field, (1, 99))
    for column in range(7, 43, 5):
        fill = colours.ramp(colours.INDEX, float((values[20, column] - low) / (high - low)))
        row, across = at(seen, WEST - 45 + 10 * column, NORTH + 45 - 200)
        assert is_colour(image, fill)[row, across], column
    assert words(one, "03_imagery_2026-06-28.png") == (
        "imagery/2026-06-28_x.tif: NDRE of June 28, 2026; 0.29 to 0.52 in the field; "
        "it shows 100 % of the field"
    )


def test_an_image_that_is_shifted_looks_shifted(made: Folder) -> None:
    from affine import Affine

    bands, _ = canopy()
    made.image("imagery/2026-06-28_x.tif", bands)
    right = pixels(written(made, IMAGE), "03_imagery_2026-06-28.png")
    made.image("imagery/2026-06-28_x.tif", bands, transform=Affine(10, 0, WEST + 150, 0, -10, NORTH + 50))
    made.settings()
    (one,) = preview.write(made.field, made.path / INTO, today=TODAY, clock=TODAY)
    moved = pixels(one, "03_imagery_2026-06-28.png")
    assert "it shows 62 % of the field" in words(one, "03_imagery_2026-06-28.png")
    seen = lies.around(FIELD.bounds)
    row, column = at(seen, WEST + 60, SOUTH + 150)
    assert is_colour(moved, drawn.NOT_KNOWN)[row, column]
    assert not is_colour(right, drawn.NOT_KNOWN)[row, column]


def test_what_a_mask_hides_is_grey(made: Folder) -> None:
    bands, _ = canopy()
    made.image("imagery/2026-06-28_x.tif", bands)
    cloud = np.zeros((1, 40, 50), dtype="uint8")
    cloud[:, 10:20, 20:30] = 1
    made.image("imagery/cloud.tif", cloud)
    one = written(made, IMAGE + 'mask = "imagery/cloud.tif"\n')
    seen = lies.around(FIELD.bounds)
    row, column = at(seen, WEST - 50 + 250, NORTH + 50 - 150)
    assert is_colour(pixels(one, "03_imagery_2026-06-28.png"), drawn.HIDDEN)[row, column]
    assert "it shows 92 % of the field" in words(one, "03_imagery_2026-06-28.png")


@pytest.mark.parametrize(
    ("east_m", "north_m", "direction"),
    [(-90_000, 0, "west"), (0, 60_000, "north"), (50_000, -50_000, "southeast"), (3_000, 0, "east")],
)
def test_a_layer_of_another_place_is_drawn_with_its_way(
    made: Folder, east_m: float, north_m: float, direction: str
) -> None:
    from affine import Affine

    place = Affine(10, 0, WEST - 50 + east_m, 0, -10, NORTH + 50 + north_m)
    made.image("layers/height.tif", np.ones((1, 40, 50), dtype="float32"), transform=place)
    one = written(made, "[[layer]]\nname = 'height'\nfile = 'layers/height.tif'\n")
    told = re.fullmatch(
        r"layers/height.tif: height; it lies (.+) miles (\w+) of the field", words(one, "04_layer_height.png")
    )
    assert told is not None
    assert told[2] == direction
    # the nearest corners of both, on the ellipsoid
    there = shapely.affinity.translate(FIELD.buffer(50, join_style="mitre"), east_m, north_m)
    ends = shapely.get_coordinates(area.to_lonlat(shapely.shortest_line(FIELD, there), EPSG))
    truth = Geod(ellps="WGS84").inv(*ends[0], *ends[1])[2] / 1609.344
    assert float(told[1]) == pytest.approx(truth, rel=0.02, abs=0.5)
    image = pixels(one, "04_layer_height.png")
    assert is_colour(image, colours.ZONES[1])[100:460, 20:465].sum() > 30  # the file
    rows, columns = np.nonzero(is_colour(image, colours.INK)[100:460, 20:465])
    assert max(np.ptp(rows), np.ptp(columns)) > 150  # two outlines, far apart


@pytest.mark.parametrize(("count", "most"), [(6, 6), (14, 14), (120, 119)])
def test_names_of_narrow_blocks_do_not_lie_over_each_other(count: int, most: int) -> None:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(4, 4), dpi=drawn.DPI)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, count)
    axes.set_ylim(0, count)
    drawn._words(axes, [picture.Shape(outline=box(k, 0, k + 1, count), word="AB") for k in range(count)])
    seen = [one.get_window_extent() for one in axes.texts]
    assert 6 <= len(seen) <= most
    assert count > 20 or len(seen) == count
    assert not any(one.overlaps(other) for k, one in enumerate(seen) for other in seen[:k])


def test_a_layer_of_one_number_has_one_colour_and_one_number(made: Folder) -> None:
    made.image("layers/height.tif", np.full((1, 40, 50), 7.1, dtype="float32"))
    one = written(made, LAYER)
    assert words(one, "04_layer_height.png").endswith(
        "7.10 everywhere in the field; it shows 100 % of the field"
    )
    seen = pixels(one, "04_layer_height.png")[110:450, 30:455]
    colour = is_colour(seen, colours.ramp(colours.INDEX, 0.0))
    assert colour.mean() > 0.8
    assert not is_colour(seen, colours.ramp(colours.INDEX, 1.0), within=6)[60:-60, 60:-60].any()


def test_a_layer_without_data_has_no_scale(made: Folder) -> None:
    made.image("layers/height.tif", np.full((1, 40, 50), np.nan, dtype="float32"))
    one = written(made, LAYER)
    assert words(one, "04_layer_height.png").endswith("it shows nothing of the field")
    legend = pixels(one, "04_layer_height.png")[:, 480:]
    assert not is_colour(legend, colours.ramp(colours.INDEX, 0.5)).any()


def test_a_layer_that_lies_nowhere_on_earth_has_no_picture(made: Folder) -> None:
    made.image("layers/height.tif", np.ones((1, 40, 50), dtype="float32"), crs="EPSG:4326")
    one = written(made, LAYER)
    assert one.files == ("index.html", "01_boundary.png")
    assert "layers/height.tif: the image misses the field" in (one.folder / "index.html").read_text("utf-8")


def test_points_of_another_place_are_drawn_too(made: Folder) -> None:
    (made.field / "scouting.csv").write_text("date,lat,lon,pressure\n2026-07-06,44.29,-90.0,seen\n")
    one = written(made, "[[scouting]]\nfile = 'scouting.csv'\n")
    assert re.search(r"it lies 26\d miles east of the field", words(one, "05_scouting.png"))


@pytest.mark.parametrize("file", ["planting", "setback", "dead", "zones", "guidance", "layer"])
def test_every_file_of_shapes_may_lie_elsewhere(made: Folder, file: str) -> None:
    shapes = {"guidance": LineString([(WEST + 9_000, SOUTH), (WEST + 9_000, NORTH)])}
    there = shapes.get(file, shapely.affinity.translate(FIELD, 9_000))
    made.shapes("far.geojson", [there], [{"planted": "2026-05-06", "zone": 1}])
    named = "file = 'far.geojson'\n"
    texts = {"planting": "[planting]\n", "setback": "[[setback]]\n", "dead": "[[dead_ground]]\n",
             "zones": "[zones]\n", "guidance": "[guidance]\n",
             "layer": "[[layer]]\nname = 'soil'\ncolumn = 'zone'\n"}  # fmt: skip
    made.add(texts[file] + named + ("" if file == "planting" else "[planting]\ndate = 2026-05-06\n"))
    made.settings()
    (one,) = preview.write(made.field, made.path / INTO, today=TODAY, clock=TODAY)
    (name,) = [name for name in one.files if name not in ("index.html", "01_boundary.png")]
    assert re.search(r"it lies 5\.\d miles east of the field", words(one, name))


# -- one picture for each input ---------------------------------------------------------------------------


def test_every_input_has_its_picture(made: Folder) -> None:
    middle = box(WEST + 180, SOUTH + 100, WEST + 240, SOUTH + 180)
    halves = [box(WEST, SOUTH, WEST + 200, NORTH), box(WEST + 200, SOUTH, EAST, NORTH)]
    made.shapes(
        "planting.geojson", halves, [{"planted": "2026-05-06", "variety": "A"}, {"planted": "2026-05-20"}]
    )
    made.shapes("ditch.geojson", [LineString([(WEST, SOUTH), (WEST, NORTH)])])
    made.shapes("pond.geojson", [middle])
    made.shapes("zones.geojson", halves, [{"zone": 1}, {"zone": 2}])
    made.shapes("lines.geojson", [LineString([(WEST + 50, SOUTH), (WEST + 50, NORTH)])])
    made.shapes("soil.geojson", halves, [{"clay": 20}, {"clay": 30}])
    rng = np.random.default_rng(1)
    made.image("layers/height.tif", rng.uniform(300, 301, (1, 40, 50)).astype("float32"))
    bands, _ = canopy()
    made.image("imagery/2026-06-28_x.tif", bands)
    made.image("imagery/other.tif", bands)
    (made.field / "scouting.csv").write_text("date,lat,lon,pressure\n2026-07-06,44.299,-95.39,seen\n")
    rows = weather_rows(date(2024, 4, 1), date(2026, 7, 7))
    (made.path / "weather.csv").write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *rows]) + "\n")
    (made.field / "strips").mkdir()
    made.shapes("strips/design.geojson", [halves[0]], [{"pair": 1, "treatment": "treated"}])
    made.add(
        "[planting]\nfile = 'planting.geojson'\n[[setback]]\nfile = 'ditch.geojson'\nwidth = '30 ft'\n"
        "[[dead_ground]]\nfile = 'pond.geojson'\n[zones]\nfile = 'zones.geojson'\n"
        "[guidance]\nfile = 'lines.geojson'\n[[scouting]]\nfile = 'scouting.csv'\n"
        + IMAGE + IMAGE.replace("2026-06-28_x", "other")
        + LAYER + "terrain = ['slope', 'aspect']\n"
        "[[layer]]\nname = 'clay'\nfile = 'soil.geojson'\ncolumn = 'clay'\n"
    )  # fmt: skip
    made.settings()
    (one,) = preview.write(made.field, None, today=TODAY, clock=TODAY)
    assert one.folder == made.field / "preview"
    assert list(one.files) == [
        "index.html", "01_boundary.png", "02_planting.png", "03_imagery_2026-06-28.png",
        "03_imagery_other.png", "04_layer_height.png", "04_layer_slope.png", "04_layer_aspect_east.png",
        "04_layer_aspect_north.png", "04_layer_clay.png", "05_scouting.png", "06_setback_ditch.png",
        "07_dead_pond.png", "08_zones.png", "09_guidance.png", "10_check_strips.png", "12_weather.png",
    ]  # fmt: skip
    assert sorted(path.name for path in one.folder.iterdir()) == sorted(one.files)
    page = (one.folder / "index.html").read_text("utf-8")
    assert page.count("<img ") == len(one.files) - 1
    assert "<script" not in page
    assert "Not shown" not in page
    for name in one.files[1:]:
        assert (one.folder / name).stat().st_size < 60_000
        assert pixels(one, name).shape == (520, 640, 3)


@pytest.mark.parametrize(
    "name", ["heron_slough/wet_corner", "plover_rise/long_eighty", "ombu_bend/loma_larga"]
)
def test_two_previews_are_the_same_to_the_byte(tmp_path: Path, name: str) -> None:
    field = Path(__file__).parents[2] / "demo_fields" / name
    first, second = (
        preview.write(field, tmp_path / place, today=None, clock=TODAY)[0] for place in ("first", "second")
    )
    assert first.files == second.files
    assert len(first.files) > 6
    for one in first.files:
        assert (first.folder / one).read_bytes() == (second.folder / one).read_bytes()
        assert (first.folder / one).stat().st_size < 60_000


def test_an_input_that_cannot_be_read_has_no_picture(made: Folder) -> None:
    (made.field / "layers").mkdir()
    (made.field / "layers" / "height.tif").write_bytes(b"no image")
    one = written(made, LAYER)
    assert one.files == ("index.html", "01_boundary.png")
    page = (one.folder / "index.html").read_text("utf-8")
    assert "<li>layers/height.tif: it cannot be read as a GeoTIFF. Export it again.</li>" in page


def test_shapes_of_a_file_at_fault_are_drawn_as_they_stand(made: Folder) -> None:
    made.shapes("planting.geojson", [FIELD], [{"planted": "05/06/2026"}])
    made.add("[planting]\nfile = 'planting.geojson'\n")
    made.settings()
    (one,) = preview.write(made.field, made.path / INTO, today=TODAY, clock=TODAY)
    assert "02_planting.png" in one.files
    assert "05/06/2026" in (one.folder / "index.html").read_text("utf-8")


def test_strips_that_lead_to_a_device_are_not_read(made: Folder) -> None:
    (made.field / "strips").mkdir()
    try:
        (made.field / "strips" / "design.geojson").symlink_to("/dev/zero")
    except OSError:
        pytest.skip("no links can be made here")
    assert written(made).files == ("index.html", "01_boundary.png")


def test_a_field_without_a_boundary_has_no_pictures(made: Folder) -> None:
    (made.field / "boundary.geojson").unlink()
    made.add("[planting]\ndate = 2026-05-06\n")
    made.settings()
    assert preview.write(made.field, made.path / INTO, today=TODAY, clock=TODAY) == ()
    assert not (made.path / INTO).exists()
    assert preview.as_text(()) == "no pictures: settings or boundary cannot be read"


def test_a_farm_has_a_folder_for_each_field(made: Folder) -> None:
    shutil.copytree(made.field, made.path / "second")
    for field in (made.field, made.path / "second"):
        (field / "field.toml").write_text("name = 'F'\nmaturity_group = 1.9\n[planting]\ndate = 2026-05-06\n")
    own = preview.write(made.path, None, today=TODAY, clock=TODAY)
    assert [one.folder for one in own] == [made.field / "preview", made.path / "second" / "preview"]
    apart = preview.write(made.path, made.path.parent / "all", today=TODAY, clock=TODAY)
    assert [one.folder.name for one in apart] == ["field", "second"]


def test_names_of_fields_and_files_are_text_and_no_code(made: Folder) -> None:
    made.toml = made.toml.replace("'Field'", "'<b>&'")
    page = (written(made).folder / "index.html").read_text("utf-8")
    assert "<title>Inputs of &lt;b&gt;&amp;</title>" in page


# -- the folder -------------------------------------------------------------------------------------------


def test_other_files_of_a_folder_stay_and_old_pictures_go(made: Folder) -> None:
    made.image("layers/height.tif", np.arange(2000, dtype="float32").reshape(1, 40, 50))
    one = written(made, LAYER)
    (one.folder / "notes.txt").write_text("mine")
    (one.folder / "04_other.png").write_text("mine")
    assert "04_layer_height.png" in one.files
    made.toml = made.toml.replace(LAYER, "")
    made.settings()
    preview.write(made.field, one.folder, today=TODAY, clock=TODAY)
    assert sorted(path.name for path in one.folder.iterdir()) == [
        "01_boundary.png", "04_other.png", "index.html", "notes.txt"
    ]  # fmt: skip


def test_a_file_in_place_of_the_folder_is_named(made: Folder) -> None:
    (made.path / INTO).write_text("mine")
    with pytest.raises(InputError, match=f"{INTO}: this is a file, not a folder") as caught:
        written(made)
    assert caught.value.code == SETTINGS
    assert (made.path / INTO).read_text() == "mine"


def test_a_link_to_nowhere_is_a_file_of_somebody(made: Folder) -> None:
    (made.path / INTO).mkdir()
    (made.path / INTO / "01_boundary.png").symlink_to(made.path / "precious.png")
    with pytest.raises(InputError, match="no preview wrote this file"):
        written(made)
    assert not (made.path / "precious.png").exists()


def test_files_that_no_preview_wrote_are_not_replaced(made: Folder) -> None:
    (made.path / INTO).mkdir()
    (made.path / INTO / "index.html").write_text("my own page")
    with pytest.raises(InputError, match="no preview wrote this file") as caught:
        written(made)
    assert caught.value.code == SETTINGS
    assert [path.name for path in (made.path / INTO).iterdir()] == ["index.html"]
    assert (made.path / INTO / "index.html").read_text() == "my own page"


def test_a_disk_that_refuses_leaves_the_last_preview_whole(
    made: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = written(made)
    before = {name: (one.folder / name).read_bytes() for name in one.files}
    made.shapes("boundary.geojson", [FIELD.buffer(-40)])
    real, calls = store.rename, []

    def refusing(source: Path, target: Path) -> None:
        calls.append(target)
        if len(calls) == 3:
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(store, "rename", refusing)
    with pytest.raises(InputError, match="cannot be written") as caught:
        preview.write(made.field, one.folder, today=TODAY, clock=TODAY)
    assert caught.value.code == WORLD
    assert {name: (one.folder / name).read_bytes() for name in one.files} == before


def test_a_picture_that_cannot_be_taken_away_is_told(made: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    one = written(made)

    def refusing(self: Path, missing_ok: bool = False) -> None:
        raise PermissionError(13, "Permission denied")

    (one.folder / "index.html").write_text(
        (one.folder / "index.html").read_text("utf-8") + '<img src="04_gone.png"', "utf-8"
    )
    monkeypatch.setattr(folder.Path, "unlink", refusing)
    monkeypatch.setattr(store, "write_all", lambda contents: None)
    with pytest.raises(InputError, match="permission denied") as caught:
        preview.write(made.field, one.folder, today=TODAY, clock=TODAY)
    assert caught.value.code == WORLD


# -- small things -----------------------------------------------------------------------------------------


def test_by_hand_directions_of_the_wind_rose() -> None:
    # eight winds of 45 degrees, north from -22.5 to 22.5
    told = [
        lies.wind(np.sin(np.radians(deg)), np.cos(np.radians(deg)))
        for deg in (0, 22, 23, 90, 180, 225, 337, 338)
    ]
    assert told == ["north", "north", "northeast", "east", "south", "southwest", "northwest", "north"]


def test_a_point_on_the_other_side_of_the_earth_has_a_distance() -> None:
    plane = lies.Plane(area.to_lonlat(FIELD, EPSG))
    beside = plane.beside(Point(84.6, -44.0))
    assert beside is not None
    assert beside.far_m == pytest.approx(20_000_000, rel=0.01)  # half way around


def test_a_legend_that_is_too_long_says_what_is_left() -> None:
    keys = ground._few([picture.Key(text=f"zone {one}") for one in range(30)])
    assert len(keys) == 12
    assert keys[-1].text == "and 19 more"


def test_by_hand_a_season_lies_over_those_before_it() -> None:
    from zoning.inputs.given import Weather

    days = np.array(
        [date(2023, 6, 1).toordinal(), date(2024, 6, 1).toordinal(), date(2026, 6, 1).toordinal()]
    )
    daily = Weather(
        day=days, tmin_c=np.array([5.0, 9, 7]), tmax_c=np.array([20.0, 30, 25]), rain_mm=np.zeros(3)
    )
    found = season.of_season(daily, 2026, is_south=False)
    at_day = found.days.index(date(2026, 6, 1))
    assert (found.days[0], found.days[-1]) == (date(2026, 4, 1), date(2026, 10, 31))
    assert (found.lowest_c[at_day], found.highest_c[at_day], found.tmax_c[at_day]) == (5, 30, 25)
    assert found.years == 2
    south = season.of_season(daily, 2026, is_south=True)
    assert (south.days[0], south.days[-1]) == (date(2025, 10, 1), date(2026, 4, 30))
    assert not np.isfinite(south.tmin_c).any()


def test_pictures_are_drawn_from_data_alone() -> None:
    about = picture.Picture(kind="x", name="y", title="t" * 300, lines=("漢字",), field=FIELD,
                            bounds_m=lies.around(FIELD.bounds))  # fmt: skip
    image = Image.open(io.BytesIO(drawn.png(about)))
    assert image.size == (640, 520)
