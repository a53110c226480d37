"""`sprayworth sprayer`: what each sprayer can do, and what is said of one that cannot."""

import json
import re
import shutil
from pathlib import Path

import pytest

from cli.main import main

DEMO = Path(__file__).parents[2] / "demo_fields"
RIG = {
    "name": '"rig"', "boom": '"90 ft"', "sections": "9", "nozzle": '"04"', "nozzle_spacing": '"20 in"',
    "pressure": '["30 psi", "90 psi"]', "speed": '["5 mph", "14 mph"]', "tank": '"1000 gal"',
    "fill_min": "15", "tracks_exist": "true",
}  # fmt: skip
LABEL = {
    "name": '"Invented"', "groups": '["3", "11"]', "dose": '"8 fl oz/ac"', "max_dose": '"16 fl oz/ac"',
    "min_carrier_ground": '"12 gal/ac"', "pre_harvest_interval_d": "30", "re_entry_h": "12",
    "max_applications": "2", "latest_stage": '"R5"', "max_wind": '"10 mph"',
}  # fmt: skip


def table(header: str, keys: dict[str, str], **changes: str | None) -> str:
    lines = [f"{key} = {value}" for key, value in {**keys, **changes}.items() if value is not None]
    return "\n".join([header, *lines, ""])


def rig(**changes: str | None) -> str:
    return table("[[sprayer]]", RIG, **changes)


@pytest.fixture
def call(capsys):
    """Exit code, stdout and stderr of one call."""

    def of(*arguments: object) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as end:
            main(list(map(str, arguments)))
        said = capsys.readouterr()
        return end.value.code, said.out, said.err

    return of


@pytest.fixture
def farm(tmp_path):
    """Write a farm.toml and nothing else."""

    def write(*tables: str, top: str = 'name = "Some Farm"\n') -> Path:
        (tmp_path / "farm.toml").write_text(top + "\n".join(tables), encoding="utf-8")
        return tmp_path

    return write


@pytest.fixture
def answer(call):
    """The sprayers by name, and the whole object, of a call that succeeds."""

    def of(*arguments: object) -> tuple[dict[str, dict], dict]:
        code, out, err = call("sprayer", *arguments, "--json")
        assert code == 0, err
        whole = json.loads(out)
        return {one["sprayer"]: one for one in whole["sprayers"]}, whole

    return of


def codes(notes: list[dict]) -> set[str]:
    return {note["code"] for note in notes}


def test_by_hand_a_farm_of_sprayers_only(answer, farm):
    # top speed 5940 x .4 x sqrt(90 / 40) / (gal/ac x 20): 17.8 -> 14, 11.88, 8.91 mph; lowest sqrt(30 / 40):
    # 10.29, 6.86, 5.14 mph; 98.0, 78.0, 58.5 ac/h with a 15-min fill; 100, 66.7, 50 ac a load;
    # 100 ac at 14 x 90 / 8.25 x .85 = 129.82 ac/h: 46.2 min, 66.7 at 110.17: 36.3, 50 at 82.62: 36.3
    sprayers, whole = answer(farm(rig()))
    rows = sprayers["rig"]["volumes"]
    assert [row["volume_gal_ac"] for row in rows] == [10, 15, 20]
    assert all(row["reachable"] for row in rows)
    expected = {
        "speed_mph": [[10.29, 14], [6.86, 11.88], [5.14, 8.91]],
        "pressure_psi": [[30, 55.55], [30, 90], [30, 90]],
    }
    for key, pairs in expected.items():
        for row, pair in zip(rows, pairs, strict=True):
            assert row[key] == pytest.approx(pair, abs=0.006), key
    assert [row["nozzle_gal_min"] for row in rows] == pytest.approx([0.4714, 0.6, 0.6], abs=0.00005)
    assert [row["an_hour_ac"] for row in rows] == pytest.approx([98.0, 78.0, 58.5], abs=0.05)
    assert [row["a_load_ac"] for row in rows] == pytest.approx([100, 66.67, 50], abs=0.005)
    assert [row["spraying_min"] for row in rows] == pytest.approx([46.2, 36.3, 36.3], abs=0.05)
    assert {row["filling_min"] for row in rows} == {15}
    assert {row["label_allows"] for row in rows} == {None}
    assert whole["droplet"] is None
    assert {"sprayer.no_label", "sprayer.usual_volumes", "sprayer.no_base"} <= codes(whole["notes"])


def test_by_hand_smallest_zones_and_what_shares_a_speed(answer, farm):
    # 10 ft x 30.8 ft = 308 ft2 = .00707 ac; 90 x 246.4 ft = .509 ac; min_area 1 ac is larger
    sprayers, whole = answer(farm(rig()))
    one = sprayers["rig"]
    assert one["smallest_on_off"]["area_ac"] == pytest.approx(0.00707, abs=5e-6)
    assert one["smallest_on_off"]["along_m"] == pytest.approx(30.8 * 0.3048, abs=0.001)
    assert one["smallest_rate_change"]["area_ac"] == pytest.approx(0.509, abs=0.0005)
    assert one["smallest_in_plan_ac"] == whole["min_area_ac"] == 1
    # sqrt(90 / 30) = 1.732: 15 / 10 and 20 / 15 are within it, 20 / 10 is not
    assert one["most_ratio_at_one_speed"] == pytest.approx(1.732, abs=0.0005)
    shared = {(pair["low_gal_ac"], pair["high_gal_ac"]): pair["speed_mph"] for pair in one["pairs"]}
    assert set(shared) == {(10, 15), (10, 20), (15, 20)}
    assert shared[10, 15] == pytest.approx([10.29, 11.88], abs=0.006)
    assert shared[15, 20] == pytest.approx([6.86, 8.91], abs=0.006)
    assert shared[10, 20] is None


def test_the_sprayers_own_smallest_zone_counts_where_it_is_larger(answer, call, farm):
    # without sections 90 x 90 ft = .186 ac, above a min_area of 0.1 ac
    folder = farm(rig(sections=None), '[zones]\nmin_area = "0.1 ac"\n')
    sprayers, _ = answer(folder)
    assert sprayers["rig"]["smallest_in_plan_ac"] == pytest.approx(0.186, abs=0.0005)
    assert "the plan's smallest zone is the sprayer's own" in words(call("sprayer", folder)[1])


def words(out: str) -> str:
    """The text without its line breaks."""
    return " ".join(out.split())


def test_people_read_why_two_volumes_in_one_pass_change_the_dose_unless_it_is_injected(call, farm):
    code, out, _ = call("sprayer", farm(rig()))
    assert code == 0
    assert "sharing no speed, in gal/ac: 10 and 20" in words(out)
    assert "10 gal/ac from a tank mixed for 20 gives 50 % of its dose" in words(out)
    code, out, _ = call("sprayer", farm(rig(injection="true")))
    assert code == 0
    assert "of its dose" not in words(out)
    assert "the product is injected, so its dose does not move" in words(out)


def test_by_hand_pulsed_nozzles_show_their_duty(answer, call, farm):
    # 10 tips at 40 psi: 1.0 gal/min in full; 20 gal/ac at 14 mph takes .9428: duty 94.3 %, 10 takes 47.1 %
    folder = farm(rig(nozzle='"10"', pressure='"40 psi"', duty="[0.4, 1.0]"))
    sprayers, _ = answer(folder)
    rows = {row["volume_gal_ac"]: row for row in sprayers["rig"]["volumes"]}
    assert rows[10]["duty_frac"] == pytest.approx([0.4, 0.4714], abs=0.00005)
    assert rows[20]["duty_frac"] == pytest.approx([0.4, 0.9428], abs=0.00005)
    assert rows[10]["pressure_psi"] is None
    assert sprayers["rig"]["most_ratio_at_one_speed"] == pytest.approx(2.5)
    assert all(pair["speed_mph"] is not None for pair in sprayers["rig"]["pairs"])
    assert "40 psi, duty 40–100 %" in words(call("sprayer", folder)[1])


def test_by_hand_a_volume_out_of_reach_is_listed_with_what_would_reach_it(answer, call, farm):
    # 06 tips: 10 gal/ac from 5940 x .6 x sqrt(.75) / 200 = 15.43 mph on; at 14 mph .4714 gal/min, for which
    # they take 40 x (.4714 / .6)^2 = 24.7 psi, so 24 does it
    folder = farm(rig(nozzle='"06"'))
    sprayers, _ = answer(folder)
    out_of_reach, *others = sprayers["rig"]["volumes"]
    assert out_of_reach["reachable"] is False
    assert {out_of_reach[key] for key in ("speed_mph", "pressure_psi", "an_hour_ac", "spraying_min")} == {
        None
    }
    assert codes(out_of_reach["reasons"]) == {"sprayer.needs_more_speed"}
    assert out_of_reach["would_do"]["code"] == "sprayer.or_lower_pressure"
    assert all(row["reachable"] for row in others)
    code, out, _ = call("sprayer", folder)
    assert code == 0
    assert "out of reach" in out
    for told in (
        "at least 15.4 mph",
        "nozzle 015 or 02 or 025 or 03 or 04 or 05",
        "24 psi (1.7 bar) at 14 mph",
    ):
        assert told in words(out)
    lower, _ = answer(farm(rig(nozzle='"06"', pressure='["24 psi", "90 psi"]')))
    assert lower["rig"]["volumes"][0]["reachable"] is True


def test_a_sprayer_that_reaches_nothing_is_shown_here_and_refused_by_run(call, tmp_path):
    copy = tmp_path / "farm"
    shutil.copytree(DEMO / "heron_slough", copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    settings = copy / "farm.toml"
    text = settings.read_text(encoding="utf-8")
    text, changed = re.subn(r'nozzle = "04"', 'nozzle = "01"', text)
    assert changed == 1
    settings.write_text(
        re.sub(r"volumes = .*", 'volumes = ["15 gal/ac", "20 gal/ac"]', text), encoding="utf-8"
    )
    code, out, err = call("sprayer", copy)
    assert (code, err) == (0, "")
    assert out.count("out of reach") == 2
    assert "none of the volumes can be sprayed, and `run` refuses this sprayer" in words(out)
    # 15 gal/ac: 5940 q x 1.5 / 300 >= 5, so q >= .168; 5940 q sqrt(.75) / 300 <= 14, so q <= .816
    assert "; nozzle 02 or 025 or 03 or 04 or 05 or 06 or 08 would do it" in words(out)
    code, out, err = call("run", copy / "gravel_forty", "--quiet")
    assert (code, out) == (2, "")
    assert "ground rig can spray none of the carrier volumes" in err


def test_the_label_refuses_what_the_machine_reaches(answer, call, farm):
    folder = farm(rig(), table("[product]", LABEL))
    sprayers, whole = answer(folder)
    first, *others = sprayers["rig"]["volumes"]
    assert first["reachable"] is True
    assert first["label_allows"] is False
    assert codes(first["reasons"]) == {"passes.below_label_minimum"}
    assert {row["label_allows"] for row in others} == {True}
    assert "sprayer.no_label" not in codes(whole["notes"])
    assert "label: no" in call("sprayer", folder)[1]


def test_label_and_machine_each_give_their_own_reason(answer, farm):
    # 06 tips hold 10 gal/ac from 15.4 mph on and 12 from 12.9, 08 tips 12 from 17.1; the label's least is 12
    volumes = '[carrier]\nvolumes = ["10 gal/ac", "12 gal/ac", "20 gal/ac"]\n'
    sprayers, _ = answer(farm(rig(nozzle='"06"'), volumes, table("[product]", LABEL)))
    told = [
        (row["reachable"], row["label_allows"], len(row["reasons"])) for row in sprayers["rig"]["volumes"]
    ]
    assert told == [(False, False, 2), (True, True, 0), (True, True, 0)]
    sprayers, _ = answer(farm(rig(nozzle='"08"'), volumes, table("[product]", LABEL)))
    told = [
        (row["reachable"], row["label_allows"], len(row["reasons"])) for row in sprayers["rig"]["volumes"]
    ]
    assert told == [(False, False, 2), (False, True, 1), (True, True, 0)]


def test_the_droplet_class_is_the_labels_word_and_never_worked_out(answer, call, farm):
    folder = farm(rig(), table("[product]", LABEL, droplet='"medium to coarse"'))
    assert answer(folder)[1]["droplet"] == "medium to coarse"
    assert "droplet class on the label: medium to coarse;" in words(call("sprayer", folder)[1])
    without = farm(rig(), table("[product]", LABEL))
    assert answer(without)[1]["droplet"] is None
    assert "droplet class: not given; read the label" in words(call("sprayer", without)[1])


def test_a_plane_that_the_label_does_not_allow(answer, call, farm):
    plane = {
        "kind": '"aerial"', "boom": '"65 ft"', "speed": '["120 mph", "140 mph"]', "nozzle": None,
        "nozzle_spacing": None, "pressure": None, "tracks_exist": None, "sections": None,
    }  # fmt: skip
    folder = farm(rig(name='"plane"', **plane), table("[product]", LABEL))
    sprayers, _ = answer(folder)
    assert sprayers["plane"]["forbidden"]["code"] == "passes.not_by_air"
    assert {row["label_allows"] for row in sprayers["plane"]["volumes"]} == {False}
    code, out, _ = call("sprayer", folder)
    assert code == 0
    assert "does not allow application by air" in words(out)
    assert "psi" not in out
    allowed = farm(
        rig(name='"plane"', **plane),
        table("[product]", LABEL, aerial_allowed="true", min_carrier_air='"2 gal/ac"'),
    )
    assert answer(allowed)[0]["plane"]["forbidden"] is None


def test_by_hand_a_metric_farm_reads_metric_figures(answer, call):
    # 03 tips: .3 gal/min at 40 psi; at 6 bar = 87.02 psi .4425 gal/min = 1.675 L/min;
    # 600 x 1.675 / (160 x 0.5) = 12.56 km/h
    sprayers, _ = answer(DEMO / "ombu_bend")
    last = sprayers["contractor"]["volumes"][-1]
    assert last["volume_l_ha"] == pytest.approx(160, abs=1e-5)
    assert last["speed_kmh"][1] == pytest.approx(12.56, abs=0.005)
    assert last["pressure_bar"][1] == pytest.approx(6)
    assert last["nozzle_l_min"] == pytest.approx(1.675, abs=0.0005)
    assert last["an_hour_ha"] == pytest.approx(last["an_hour_ac"] * 0.40468564, rel=1e-6)
    _, out, _ = call("sprayer", DEMO / "ombu_bend")
    for unit in ("L/ha", "km/h", "bar", "L/min", "ha a"):
        assert unit in words(out)
    for unit in ("gal", "mph", "psi", " ft", " ac"):
        assert unit not in out


def test_a_field_folder_answers_for_its_own_sprayers(answer, tmp_path):
    field = tmp_path / "north"
    field.mkdir()
    (tmp_path / "farm.toml").write_text('name = "F"\n' + rig(), encoding="utf-8")
    (field / "field.toml").write_text('name = "North"\n' + rig(name='"own"'), encoding="utf-8")
    sprayers, whole = answer(field)
    assert (set(sprayers), whole["name"]) == ({"own"}, "North")
    sprayers, whole = answer(tmp_path)
    assert (set(sprayers), whole["name"]) == ({"rig"}, "F")
    [apart] = [note for note in whole["notes"] if note["code"] == "sprayer.fields_apart"]
    assert "north" in apart["text"]
    (field / "field.toml").write_text("this is not TOML", encoding="utf-8")
    assert "sprayer.fields_apart" not in codes(answer(tmp_path)[1]["notes"])


def test_a_farm_without_sprayers_is_told_what_to_write(answer, farm):
    sprayers, whole = answer(farm())
    assert sprayers == {}
    [told] = [note["text"] for note in whole["notes"] if note["code"] == "sprayer.none_given"]
    for key in ("name", "boom", "speed", "tank", "fill_min", "nozzle_spacing", "tracks_exist"):
        assert key in told


def test_other_tables_of_the_farm_are_not_judged_here(answer, farm):
    folder = farm(rig(), '[money]\ngrain_price = "nothing"\n')
    assert set(answer(folder)[0]) == {"rig"}


HUBS = rig(hub='"east"', base="[44.3, -95.4]") + rig(name='"second"', hub='"west"')


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (rig(nozzle='"07"'), 'nozzle = "07": not a nozzle size of ISO 10625. Write the size that stands'),
        (
            rig(kind='"aerial"', nozzle='"red"'),
            'nozzle = "red": not a nozzle size of ISO 10625. Write the size that stands',
        ),
        (
            rig(fill_min="0"),
            "fill_min = 0: out of range. Give more than 0 (it is the minutes from an empty tank to a full",
        ),
        (rig(speed='["0 mph", "14 mph"]'), "out of range. Give more than 0 mph."),
        (rig(speed='["14 mph", "5 mph"]'), "the first value is above the second. Write the lower one first."),
        (rig(tank='"0 gal"'), 'tank = "0 gal": out of range. Give more than 0 gal.'),
        (
            rig(pressure='["90 psi", "30 psi"]'),
            "the first value is above the second. Write the lower one first.",
        ),
        (rig(pressure='["-5 psi", "30 psi"]'), "out of range. Give pressures above 0."),
        (
            rig(pressure='["2 psi", "6 psi"]'),
            "Give what the nozzle sprays at, 5 psi to 300 psi. Did you mean 2 bar and 6 bar?",
        ),
        (
            rig(pressure='["30 bar", "90 bar"]'),
            "Give what the nozzle sprays at, 0.345 bar to 20.7 bar. Did you mean 30 psi and 90 psi?",
        ),
        (
            rig(pressure='["30 psi", "9000 psi"]'),
            "out of range. Give what the nozzle sprays at, 5 psi to 300 psi.",
        ),
        (rig(pressure='"0 psi"', duty="[0.3, 1.0]"), "out of range. Give pressures above 0."),
        (rig(duty="[0.3, 1.0]"), "a range of pressures, and duty too. Write the one pressure"),
        (rig(pressure='"50 psi"', duty="[1.0, 0.3]"), "the first value is above the second."),
        (rig(pressure='"50 psi"', duty="[0, 1.0]"), "out of range. Give more than 0."),
        (rig(pressure='"50 psi"'), "one pressure only, and no duty."),
        (rig(boom="90"), 'boom = 90: a unit is missing. Write it as "90 ft".'),
        (
            HUBS,
            "sprayer[2].base: missing, and the farm has several hubs (east, west): a field belongs to the",
        ),
        ('[carrier]\nvolumes = ["0 gal/ac"]\n' + rig(), "out of range. Give more than 0 gal/ac."),
        (
            table("[product]", LABEL, aerial_allowed="true") + rig(kind='"aerial"'),
            "product.min_carrier_air: missing, which the aerial sprayer needs.",
        ),
        (table("[product]", LABEL, latest_stage='"R9"') + rig(), "not one of the words known here."),
        (rig(nozle='"04"'), "unknown key. Did you mean nozzle?"),
    ],
)
def test_what_cannot_be_is_one_line_with_what_to_change(call, farm, text, told):
    code, out, err = call("sprayer", farm(text))
    assert (code, out) == (2, "")
    assert told in err
    assert len(err.splitlines()) == 1
    assert re.match(r"error: farm\.toml:\d+: ", err)


def test_all_faults_are_told_at_once(call, farm):
    code, _, err = call("sprayer", farm(rig(fill_min="0", tank='"0 gal"', nozzle='"07"')))
    assert code == 2
    assert len(err.splitlines()) == 3


def test_every_hub_with_a_base_is_taken(answer, farm):
    both = rig(hub='"east"', base="[44.3, -95.4]") + rig(name='"b"', hub='"west"', base="[44.0, -95.0]")
    sprayers, whole = answer(farm(both))
    assert (sprayers["rig"]["hub"], sprayers["b"]["base"]) == ("east", [44.0, -95.0])
    assert "sprayer.no_base" not in codes(whole["notes"])
    assert "sprayer.way" in codes(whole["notes"])


def test_a_folder_that_is_no_farm(call, tmp_path):
    code, _, err = call("sprayer", tmp_path)
    assert code == 2
    assert "there is no farm.toml and no field.toml in this folder" in err
    code, _, err = call("sprayer")
    assert code == 2
    assert "no farm folder is given" in err


@pytest.mark.parametrize(
    ("size", "colour", "gal_min", "l_min"),
    [
        ("01", "orange", ".10", ".395"), ("015", "green", ".15", ".592"), ("02", "yellow", ".20", ".790"),
        ("025", "purple", ".25", ".987"), ("03", "blue", ".30", "1.184"), ("04", "red", ".40", "1.579"),
        ("05", "brown", ".50", "1.974"), ("06", "grey", ".60", "2.369"), ("08", "white", ".80", "3.158"),
    ],
)  # fmt: skip
def test_by_hand_the_table_of_nozzle_sizes(call, size, colour, gal_min, l_min):
    # gal/min and colour: sprayers101.com/nozzle-chart-twist and McCloskey and others 2012, Univ. of Arizona;
    # L/min at exactly 3 bar: size / 10 x 3.785412 x sqrt(3 / 2.7579)
    code, out, _ = call("sprayer", "--nozzles", "--json")
    assert code == 0
    whole = json.loads(out)
    assert set(whole) == {"schema_version", "nozzles"}
    [row] = [one for one in whole["nozzles"] if one["size"] == size]
    assert row["colour"] == colour
    assert row["gal_min_at_40_psi"] == pytest.approx(float(gal_min), abs=0.005)
    assert row["l_min_at_3_bar"] == pytest.approx(float(l_min), abs=0.0005)
    _, text, _ = call("sprayer", "--nozzles")
    assert re.search(
        rf"^\s*{size}\s+{colour}\s+0{re.escape(gal_min)}\s+0?{re.escape(l_min)}$", text, re.MULTILINE
    )


def test_the_table_of_sizes_stands_below_the_sprayers(call, farm):
    _, out, _ = call("sprayer", farm(rig()), "--nozzles")
    assert out.index("rig (ground)") < out.index("Nozzle sizes of ISO 10625") < out.index("purple")
