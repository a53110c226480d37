"""From settings, weather and scouting to what moves the response of each zone, through a whole offer."""

import shutil

import pytest
from made_demo import HERON_SLOUGH, TODAY

from zoning import field
from zoning.errors import SETTINGS, InputError
from zoning.returns.mixture import mean
from zoning.returns.sources import pooled


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    """A field that is one zone and that nobody walked: what is set is all that moves it."""
    farm = tmp_path_factory.mktemp("places") / "farm"
    field_folder = farm / "level_eighty"
    ignored = shutil.ignore_patterns("out", "out.*", "strips")
    shutil.copytree(HERON_SLOUGH / "level_eighty", field_folder, ignore=ignored)
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(HERON_SLOUGH / name, farm)
    settings = field_folder / "field.toml"
    settings.write_text(settings.read_text().split("[[scouting]]")[0].split("[[imagery]]")[0])
    return farm


def zone(farm, *, top="", response="", effects="", product=None, drop_yield=False):
    """Give the one zone with lines above the field's tables and in the farm's; rain has no say."""
    files = {name: farm / name for name in ("farm.toml", "level_eighty/field.toml")}
    before = {path: path.read_text() for path in files.values()}
    try:
        path = files["farm.toml"]
        text = path.read_text().replace("[response]\n", f"[response]\n{response}\n")
        if product:
            text = text.replace('groups = ["3", "11"]', product)
        path.write_text(f"{text}\n[effects]\nrain = false\n{effects}\n")
        path = files["level_eighty/field.toml"]
        text = path.read_text()
        if drop_yield:
            text = text.replace('expected_yield = "60 bu/ac"\n', "")
        path.write_text(f"{top}\n{text}")
        (one,) = field.offer(farm / "level_eighty", today=TODAY, seed=1).zones
        return one
    finally:
        for path, text in before.items():
            path.write_text(text)


def names(one) -> list[str]:
    return [link.name for link in one.chain]


def test_what_is_set_moves_the_zone(farm):
    assert names(zone(farm)) == ["parts", "modes_of_action"]
    moved = zone(farm, top='variety_rating = "susceptible"')
    assert names(moved) == ["parts", "variety", "modes_of_action"]


def _without_rain(text, since):
    """Write the figure that stations give for "not known" from a day on."""
    head, *rows = text.splitlines()
    blanked = [f"{row.rpartition(',')[0]},-9999" if row >= since else row for row in rows]
    return "\n".join([head, *blanked]) + "\n"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text, False),
        (lambda text: _without_rain(text, "2026-05-10"), True),
        (lambda text: _without_rain(text, "2013-01-01"), True),
        (lambda text: text[: text.index("2013")] + text[text.index("2017-01-01") :], True),  # nine years
        (lambda text: "\n".join(row.rpartition(",")[0] for row in text.splitlines()), True),
    ],
    ids=["all known", "none this season", "none at all", "too few years", "no such column"],
)
def test_rain_that_is_not_known_is_said(farm, change, said):
    weather = farm / "weather.csv"
    before = weather.read_text()
    try:
        weather.write_text(change(before))
        notes = [one for one in _notes(farm) if one.code == "offers.rain_not_known"]
        assert len(notes) == said
        assert all("in block A" in one.text for one in notes)
        settings = farm / "farm.toml"
        with_rain = settings.read_text()
        settings.write_text(f"{with_rain}\n[effects]\nrain = false\n")
        assert "offers.rain_not_known" not in {one.code for one in _notes(farm)}
        settings.write_text(with_rain)
    finally:
        weather.write_text(before)


def _notes(farm):
    return field.offer(farm / "level_eighty", today=TODAY, seed=1).notes


def test_previous_crop_and_open_rows(farm):
    text = (farm / "level_eighty" / "field.toml").read_text()
    assert 'previous_crop = "maize"' in text
    (farm / "level_eighty" / "field.toml").write_text(text.replace('"maize"', '"Soybeans, no-till"'))
    try:
        assert "previous_crop" in names(zone(farm))
        assert "previous_crop" not in names(zone(farm, effects="previous_crop = false"))
    finally:
        (farm / "level_eighty" / "field.toml").write_text(text)
    open_rows = zone(farm, top='canopy = "open"')
    assert open_rows.driver.pressure == "low"
    assert open_rows.driver.open_rows
    assert not zone(farm).driver.open_rows
    assert mean(open_rows.chain[1].mixture) == pytest.approx(mean(pooled("low")))
    assert zone(farm, top='canopy = "open"', effects="open_rows = false").driver.pressure == "unknown"


def test_a_group_that_the_disease_resists_does_not_count(farm):
    one_works = zone(farm, response='resistant = ["11"]')
    assert names(one_works) == ["parts"]  # one of the two works: no more than one mode of action
    none_works = zone(farm, response='resistant = ["11"]', product='groups = ["11"]')
    assert names(none_works) == ["parts", "resisted"]
    assert none_works.driver.resisted


def test_groups_are_read_as_people_write_them(farm):
    # "FRAC 11" and "group 3" in the product are the 11 and 3 that the disease resists
    written = zone(farm, response='resistant = ["11", "3"]', product='groups = ["FRAC 11", "group 3"]')
    assert written.driver.resisted
    assert names(zone(farm, product='groups = ["3 + 11"]')) == ["parts", "modes_of_action"]  # two in one text
    # a product whose mode of action has no number is not known to be resisted
    assert not zone(farm, response='resistant = ["11"]', product='groups = ["NC"]').driver.resisted


def test_a_forecast_of_severity_takes_the_fields_yield_and_efficacy(farm):
    stated = zone(farm, response="severity_pct = 20")
    # .7 + 60 x .0051 x 20 x .6 = 4.372
    assert mean(stated.case.mixture) == pytest.approx(4.372)
    rust = zone(farm, response='severity_pct = 20\ndisease = "rust"\nefficacy = 0.8')
    # .7 + 60 x .006 x 20 x .8 = 6.46
    assert mean(rust.case.mixture) == pytest.approx(6.46)
    resisted = zone(farm, response='severity_pct = 20\nresistant = ["3", "11"]')
    assert mean(resisted.case.mixture) == pytest.approx(0.7)


OWN = '\nmean = "1 bu/ac"\nse = "0.8 bu/ac"\ntrials = 5\nyears = 3\n'


@pytest.mark.parametrize(
    ("more", "effects"), [("", ""), ("", 'morning = true\nyield_potential = "falling"'), (OWN, "")]
)
def test_the_severity_that_would_turn_a_zone_is_that_of_the_settings(farm, more, effects):
    # asked as a forecast, it gives the response that was reckoned with when it was looked for
    def asked(severity):
        text = (farm / "farm.toml").read_text()
        source = "own trials" if more else "pooled trials"
        (farm / "farm.toml").write_text(text.replace('source = "pooled trials"', f'source = "{source}"'))
        try:
            return zone(farm, response=more + severity, effects=effects)
        finally:
            (farm / "farm.toml").write_text(text)

    assert asked("").damage.at(20.0) == asked("severity_pct = 20").case.mixture


def test_a_practice_series_asks_for_no_severity(farm):
    text = (farm / "farm.toml").read_text()
    (farm / "farm.toml").write_text(text.replace('source = "pooled trials"', 'source = "practice series"'))
    try:
        plain, stated = zone(farm), zone(farm, response="severity_pct = 90")
    finally:
        (farm / "farm.toml").write_text(text)
    assert stated.case.mixture == plain.case.mixture
    assert plain.damage is None


def test_a_severity_without_a_yield_is_refused_in_one_line(farm):
    with pytest.raises(InputError) as caught:
        zone(farm, response="severity_pct = 20", drop_yield=True)
    assert caught.value.code == SETTINGS
    assert "expected_yield is missing, and a severity takes a share of it" in caught.value.what


def test_the_switches_reach_the_zone(farm):
    assert names(zone(farm, effects="modes_of_action = false")) == ["parts"]
    assert names(zone(farm, effects="morning = true"))[-1] == "morning"
    poor = zone(farm, effects="poor_ground = false")
    assert poor.case.expected_yield_bu_ac == float("inf")


def test_what_was_seen_takes_the_place_of_the_class(farm):
    scouting = farm / "level_eighty" / "scouting.csv"
    before = scouting.read_text()
    settings = farm / "level_eighty" / "field.toml"
    text = settings.read_text()
    head, *rows = before.splitlines()
    row = dict(zip(head.split(","), rows[0].split(","), strict=False))
    where = f"{row['lat']},{row['lon']}"
    scouting.write_text(f"date,lat,lon,severity_pct,cause\n2026-07-06,{where},3,frogeye\n")
    settings.write_text(f'{text}\n[[scouting]]\nfile = "scouting.csv"\n')
    try:
        seen = zone(farm, top='variety_rating = "susceptible"', response="severity_pct = 60")
    finally:
        scouting.write_text(before)
        settings.write_text(text)
    assert names(seen)[:2] == ["parts", "severity_seen"]
    assert seen.driver.seen_pct == 3
    assert mean(seen.case.mixture) > mean(pooled("unknown"))
