"""Absurd prices and costs, own trials half given, label limits left out: one clear line, with a guess."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_folders import MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, faults, read

from zoning import evidence, units
from zoning.settings import alone, guesses

OWN = '[response]\nsource = "own trials"\nmean = "3.4 bu/ac"\nse = "0.6 bu/ac"\ntrials = 14\nyears = 4\n'
LINE = re.compile(r"farm\.toml:\d+: [a-z_.\[\]0-9]+( = .+)?: .+\. ([A-Z].+[.?])")


def said_of(tmp_path, old, new):
    """The lines that are said when one text of a good farm is changed."""
    farm = TOP + MONEY + PRODUCT + SPRAYER + (OWN if old in OWN else RESPONSE)
    assert farm.count(old) == 1
    found = faults(tmp_path, farm.replace(old, new))
    assert all(LINE.fullmatch(line) for line in found)
    return [re.sub(r"^farm\.toml:\d+: ", "", line) for line in found]


# What is typed for the price, and the question that is asked. By hand: 1 t = 2204.62 / 60 = 36.743 bu,
# 386 / 36.743 = 10.51 and 520 / 36.743 = 14.15 USD/bu.
@pytest.mark.parametrize(
    ("typed", "limit", "asked"),
    [
        ("1040 USD/bu", "at most 60 USD/bu", "Did you mean 10.40 USD/bu, as 1040 looks like cents?"),
        ("386 USD/bu", "at most 60 USD/bu", "Did you mean 386 USD/t, which is 10.51 USD/bu?"),
        (
            "520 $/bu",
            "at most 60 $/bu",
            "Did you mean 520 USD/t, which is 14.15 USD/bu? Or 5.20 $/bu, as 520 looks like cents?",
        ),
        ("10.40 USD/t", "more than 18.4 USD/t", "Did you mean 10.40 USD/bu?"),
        ("38600 USD/t", "at most 2200 USD/t", "Did you mean 386 USD/t, as 38600 looks like cents?"),
        ("-10.40 USD/bu", "more than 0.5 USD/bu", "Did you mean 10.40 USD/bu, without the minus?"),
        ("-3 USD/bu", "more than 0.5 USD/bu", "Did you mean 3 USD/bu, without the minus?"),
        ("0 USD/bu", "more than 0.5 USD/bu", ""),
        ("1e9 USD/bu", "at most 60 USD/bu", ""),
    ],
)
def test_by_hand_an_absurd_price_is_one_line_with_a_guess(tmp_path, typed, limit, asked):
    (line,) = said_of(tmp_path, "10.40 USD/bu", typed)
    assert line == f'money.grain_price = "{typed}": out of range. Give {limit}.{asked and " " + asked}'


@pytest.mark.parametrize(
    ("old", "new", "asked"),
    [
        ('"19 USD/ac"', '"1900 USD/ac"', "Did you mean 19 USD/ac, as 1900 looks like cents?"),
        ('"19 USD/ac"', '"-19 USD/ac"', "Did you mean 19 USD/ac, without the minus?"),
        ('"9 USD/ac"', '"900 USD/ac"', "Did you mean 9 USD/ac, as 900 looks like cents?"),
        (
            '"9 USD/ac"\n',
            '"9 USD/ac"\nhaul = "-0.2 USD/bu"\n',
            "Did you mean 0.20 USD/bu, without the minus?",
        ),
        ('"9 USD/ac"\n', '"9 USD/ac"\nshare_of_grain = 50\n', "Did you mean 0.5, which is 50 %?"),
        ('"9 USD/ac"\n', '"9 USD/ac"\nshare_of_grain = 1.5\n', "Give at most 1."),
    ],
)
def test_absurd_costs_and_shares_are_one_line_with_a_guess(tmp_path, old, new, asked):
    (line,) = said_of(tmp_path, old, new)
    assert ": out of range. Give " in line
    assert line.endswith(asked)


@pytest.mark.parametrize("typed", ["19 USD/ha", "0.19 USD/ac", "19 $/acre", "0 USD/ac"])
def test_a_small_cost_is_taken_as_it_stands(tmp_path, typed):
    assert said_of(tmp_path, '"19 USD/ac"', f'"{typed}"') == []


def test_by_hand_a_haul_that_eats_the_price_is_refused_once(tmp_path):
    grain = '"10.40 USD/bu"\n'
    cheap = '"9 USD/bu"\nhaul = "9.5 USD/bu"\n'
    (line,) = said_of(tmp_path, grain, cheap)
    assert line == (
        'money.haul = "9.5 USD/bu": not below grain_price. Compare both: the haul is taken off the price, so '
        "a bushel would bring nothing."
    )
    assert said_of(tmp_path, grain, cheap.replace("9.5", "0.3")) == []
    # a haul out of range has that fault only; 11 USD/t / 36.743 = 0.30
    (line,) = said_of(tmp_path, grain, '"9 USD/bu"\nhaul = "11 USD/bu"\n')
    assert "Did you mean 11 USD/t, which is 0.30 USD/bu?" in line


@pytest.mark.parametrize("left_out", ["grain_price", "product"])
def test_a_missing_price_or_cost_is_named_with_an_example(tmp_path, left_out):
    typed = re.search(rf"^{left_out} = .+\n", MONEY, re.MULTILINE)[0]
    (line,) = said_of(tmp_path, typed, "")
    assert line == f"money.{left_out}: missing. Add it, written like {typed.strip()}."


# By hand: 230 kg/ha / 67.251 = 3.42 bu/ac
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('se = "0.6 bu/ac"\n', "", 'missing, which the source "own trials" needs. Add it'),
        ('se = "0.6 bu/ac"', 'se = "0 bu/ac"', "Give more than 0 bu/ac (it is the SD of the differences"),
        ('se = "0.6 bu/ac"', "se = 0.6", 'a unit is missing. Write it as "0.6 bu/ac".'),
        ('"3.4 bu/ac"', '"230 bu/ac"', "Did you mean 230 kg/ha, which is 3.42 bu/ac?"),
        ('"3.4 bu/ac"', '"58 bu/ac"', "(it is sprayed less unsprayed, not the yield)."),
        ('"3.4 bu/ac"', '"34 bu/ac"', "(it is sprayed less unsprayed, not the yield)."),
        ('"3.4 bu/ac"', '"-40 bu/ac"', "Give at least -10 bu/ac"),
        ("trials = 14", "trials = 3", "more years than trials"),
    ],
)
def test_by_hand_own_trials_that_cannot_be_are_one_line(tmp_path, old, new, said):
    (line,) = said_of(tmp_path, old, new)
    assert said in line


def test_a_trial_that_lost_is_taken(tmp_path):
    assert said_of(tmp_path, '"3.4 bu/ac"', '"-1.5 bu/ac"') == []


def test_label_limits_left_out_are_named_one_by_one(tmp_path):
    limits = [line.partition(" = ")[0] for line in PRODUCT.splitlines()[2:]]
    lines = said_of(tmp_path, PRODUCT, '[product]\nname = "Invented Fungicide"\n')
    assert {line.partition(":")[0].removeprefix("product.") for line in lines} == set(limits)
    assert all(": missing. Add it from the label in hand, written like " in line for line in lines)


def test_without_a_product_the_note_names_each_key_and_what_it_is(tmp_path):
    (said,) = read(tmp_path, TOP, MONEY, RESPONSE, SPRAYER).missing
    for line in PRODUCT.splitlines()[1:]:
        assert re.search(rf"\b{line.partition(' = ')[0]} \([a-z].+?\)", said.text)


# -- the guess itself ----------------------------------------------------------------------------------------

USUAL = {
    "usd_bu": "returns.usual_price_usd_bu",
    "usd_ac": "returns.usual_cost_usd_ac",
    "bu_ac": "returns.usual_response_bu_ac",
}


@given(
    quantity=st.sampled_from(sorted(USUAL)),
    unit=st.sampled_from(["USD/bu", "USD/t", "USD/ac", "USD/ha", "bu/ac", "t/ha"]),
    number=st.floats(-1e4, 1e5, allow_nan=False).map(lambda value: round(value, 2)),
)
def test_whatever_is_guessed_is_usual(quantity, unit, number):
    try:
        units.parse(f"{number} {unit}", quantity)
    except units.UnitError:
        return
    asked = guesses.meant(f"{number} {unit}", quantity)
    low, high = evidence.numbers(USUAL[quantity])
    for figure in re.findall(r"(?:Did you mean|Or) ([\d.e+]+ [A-Za-z]+/[A-Za-z]+)", asked):
        least = 0 if "without the minus" in asked else low
        assert least * 0.99 <= units.parse(figure, quantity) <= high * 1.01
    assert (asked == "") or asked.startswith("Did you mean ")


def test_what_cannot_be_mistaken_is_not_guessed():
    assert guesses.meant("900 ft", "m") == ""
    assert guesses.share_meant(True) == ""
    assert guesses.hint("money.product") == ""


# -- one value alone: the options of a command ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("pattern", "typed", "read_as"),
    [
        ("money.grain_price", "386 USD/t", 386 / (1000 / (60 * 0.45359237))),
        ("money.share_of_grain", 0.6, 0.6),
        ("expected_yield", "58 bu/ac", 58.0),
        ("response.years", 4, 4),
    ],
)
def test_by_hand_a_value_alone_is_read_as_in_a_file(pattern, typed, read_as):
    assert alone.value(pattern, typed, "--x") == pytest.approx(read_as)


@pytest.mark.parametrize(
    ("pattern", "typed"),
    [
        ("money.grain_price", "1040 USD/bu"),
        ("money.grain_price", "10.40"),
        ("money.grain_price", "10.40 EUR/bu"),
        ("money.share_of_grain", 50),
        ("response.se", "0 bu/ac"),
    ],
)
def test_a_fault_alone_has_the_words_of_a_file(tmp_path, pattern, typed):
    table, name = pattern.split(".")
    old = {"grain_price": '"10.40 USD/bu"', "se": '"0.6 bu/ac"', "share_of_grain": "[money]\n"}[name]
    shown = f'"{typed}"' if isinstance(typed, str) else str(typed)
    new = f"[money]\nshare_of_grain = {typed}\n" if name == "share_of_grain" else shown
    (line,) = said_of(tmp_path, old, new)
    with pytest.raises(ValueError, match="--x") as caught:
        alone.value(pattern, typed, "--x")
    assert line == str(caught.value).replace("--x", f"{table}.{name} = {shown}")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('groups = ["3", "11"]', 'groups = ["3", "QoI"]', 'product.groups[2] = "QoI": no FRAC code.'),
        (
            'groups = ["3", "11"]',
            'groups = ["11"]\ngroups_used = ["DMI"]',
            'product.groups_used[1] = "DMI": no FRAC',
        ),
        (
            'source = "pooled trials"',
            'source = "pooled trials"\nresistant = ["QoI", "11"]',
            "response.resistant[1] =",
        ),
        (
            'source = "pooled trials"',
            'source = "pooled trials"\nresistant = [""]',
            'response.resistant[1] = "": no',
        ),
    ],
)
def test_a_mode_of_action_without_a_code_is_one_line(tmp_path, old, new, said):
    # as no code it would count as no mode of action, and the product as one that the disease resists
    (line,) = said_of(tmp_path, old, new)
    assert line.startswith(said)
    assert line.endswith('Write the code that stands on the label, as "11" or "M05".')


def test_codes_as_people_write_them_are_taken(tmp_path):
    typed = 'groups = ["FRAC 11", "m05", "3 + 7", "NC"]'
    farm = (TOP + MONEY + PRODUCT + SPRAYER + RESPONSE).replace('groups = ["3", "11"]', typed)
    assert read(tmp_path, farm).product.groups == ("FRAC 11", "m05", "3 + 7", "NC")


@pytest.mark.parametrize("share", ["101 % v/v", "-1 % v/v", "0,25 % v/v", "nan %", "v/v"])
def test_a_faulty_share_of_the_tank_is_one_line(tmp_path, share):
    added = f'"9 USD/ac"\nadjuvant = "{share}"\nadjuvant_price = "20 USD/gal"'
    (line,) = said_of(tmp_path, '"9 USD/ac"', added)
    assert line.startswith(f'money.adjuvant = "{share}": ')
    assert "% v/v" in line
