"""What each level needs, what is named as missing, and what is begun and incomplete."""

import pytest
from made_folders import AIRCRAFT, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, faults, read

NO_PASS = MONEY.replace('pass = "9 USD/ac"\n', "")
OWN_TRIALS = (
    '[response]\nsource = "own trials"\nmean = "3.4 bu/ac"\nse = "0.6 bu/ac"\ntrials = 14\nyears = 4\n'
)


def codes(settings):
    return [said.code.removeprefix("settings.") for said in settings.missing]


@pytest.mark.parametrize(
    ("farm", "level", "missing"),
    [
        ((), 1, ["no_returns", "no_label", "no_sprayer", "no_farm"]),
        ((TOP,), 1, ["no_returns", "no_label", "no_sprayer"]),
        ((TOP, SPRAYER), 1, ["no_returns", "no_label"]),
        ((TOP, PRODUCT, SPRAYER), 1, ["no_returns"]),
        ((TOP, MONEY, RESPONSE), 2, ["no_tracks", "no_label", "no_sprayer"]),
        ((TOP, MONEY, RESPONSE, SPRAYER), 2, ["no_label"]),
        ((TOP, MONEY, RESPONSE, PRODUCT), 2, ["no_tracks", "no_sprayer"]),
        ((TOP, MONEY, RESPONSE, PRODUCT, SPRAYER), 3, []),
        ((TOP, MONEY, RESPONSE, PRODUCT, AIRCRAFT), 3, []),
        ((TOP, MONEY, OWN_TRIALS, PRODUCT, SPRAYER), 3, []),
    ],
)
def test_the_level_follows_from_what_is_there(tmp_path, farm, level, missing):
    settings = read(tmp_path, *farm)
    assert settings.level == level
    assert codes(settings) == missing


def test_missing_label_limits_are_named_one_by_one(tmp_path):
    (said,) = read(tmp_path, TOP, MONEY, RESPONSE, SPRAYER).missing
    assert said.text.startswith("no prescription: the label limits are missing")
    for limit in (
        "least carrier from the ground",
        "days from spraying to harvest",
        "last stage",
        "most wind",
    ):
        assert limit in said.text


def test_no_tracks_is_said_in_these_words(tmp_path):
    said = {one.code: one.text for one in read(tmp_path, TOP, MONEY, RESPONSE).missing}
    assert said["settings.no_tracks"] == "wheel tracks not counted: no sprayer given"


@pytest.mark.parametrize("table", ["money", "response"])
def test_half_of_level_2_is_begun_and_incomplete(tmp_path, table):
    (line,) = faults(tmp_path, TOP, MONEY if table == "money" else RESPONSE)
    other = "response" if table == "money" else "money"
    assert line.startswith(f"farm.toml:2: {table}: [{table}] is given without [{other}]")


def test_a_pass_has_a_price(tmp_path):
    (line,) = faults(tmp_path / "a", TOP, NO_PASS, RESPONSE)
    assert line.startswith("farm.toml:2: money.pass: missing, and no sprayer is given")
    (line,) = faults(tmp_path / "b", TOP, NO_PASS, SPRAYER, RESPONSE)
    assert "sprayer[1].machine: missing, and money.pass is missing too" in line
    settings = read(tmp_path / "c", TOP, NO_PASS, SPRAYER, 'machine = "140 USD/h"\n', RESPONSE)
    assert settings.money.pass_usd_ac is None
    assert settings.sprayers[0].machine_usd_h == 140
    (line,) = faults(tmp_path / "d", TOP, NO_PASS, 'billed = "field"\n', SPRAYER, RESPONSE)
    assert "money.billed" in line


def test_a_begun_product_lists_every_missing_label_limit(tmp_path):
    lines = faults(tmp_path, TOP, MONEY, RESPONSE, SPRAYER, '[product]\nname = "Half"\n')
    named = sorted(line.split(": ")[1].removeprefix("product.") for line in lines)
    assert named == sorted(
        [
            "dose",
            "groups",
            "latest_stage",
            "max_applications",
            "max_dose",
            "max_wind",
            "min_carrier_ground",
            "pre_harvest_interval_d",
            "re_entry_h",
        ]
    )
    assert all("missing. Add it from the label in hand" in line for line in lines)


def test_an_aircraft_that_the_label_allows_needs_its_least_carrier(tmp_path):
    allowed = PRODUCT + "aerial_allowed = true\n"
    (line,) = faults(tmp_path / "a", TOP, MONEY, RESPONSE, allowed, AIRCRAFT)
    assert "product.min_carrier_air: missing, which the aerial sprayer needs" in line
    complete = allowed + 'min_carrier_air = "2 gal/ac"\n'
    assert read(tmp_path / "b", TOP, MONEY, RESPONSE, complete, AIRCRAFT).level == 3


def test_a_begun_ground_sprayer_lists_what_it_lacks_and_an_aircraft_lacks_nothing(tmp_path):
    bare = AIRCRAFT.replace('kind = "aerial"\n', "")
    lines = faults(tmp_path / "a", TOP, bare)
    assert [line.split(": ")[1] for line in lines] == [
        "sprayer[1].nozzle",
        "sprayer[1].nozzle_spacing",
        "sprayer[1].pressure",
        "sprayer[1].tracks_exist",
    ]
    assert read(tmp_path / "b", TOP, AIRCRAFT).sprayers[0].tracks_exist is None


def test_a_pulsed_sprayer_has_one_pressure_and_a_duty(tmp_path):
    pulsed = SPRAYER.replace('["30 psi", "90 psi"]', '"50 psi"\nduty = [0.3, 1.0]')
    (sprayer,) = read(tmp_path, TOP, pulsed).sprayers
    assert (sprayer.pressure_psi, sprayer.duty_frac) == (50.0, (0.3, 1.0))


@pytest.mark.parametrize("source", ["own trials", "practice series"])
@pytest.mark.parametrize("left_out", ["mean", "se", "trials", "years"])
def test_own_trials_are_whole_or_not_there(tmp_path, source, left_out):
    kept = [line for line in OWN_TRIALS.splitlines() if not line.startswith(f"{left_out} =")]
    (line,) = faults(tmp_path, TOP, MONEY, "\n".join(kept).replace("own trials", source))
    assert f"response.{left_out}: missing" in line


def test_there_is_no_default_for_the_source(tmp_path):
    (line,) = faults(tmp_path, TOP, MONEY, '[response]\npressure = "high"\n')
    assert "response.source: missing" in line


def test_white_mold_as_target_is_carried(tmp_path):
    settings = read(tmp_path, TOP, MONEY, RESPONSE, PRODUCT, 'target = "white mold"\n', SPRAYER)
    assert settings.product.target == "white mold"
    assert settings.level == 3


def test_any_country_is_taken_and_its_name_kept(tmp_path):
    assert read(tmp_path, TOP, 'country = "PY"\n').country == "PY"
