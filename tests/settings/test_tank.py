"""What goes into the tank: every amount that cannot be, and room for water."""

import pytest
from made_folders import FIELD, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, faults, read

GOOD = (TOP, MONEY, PRODUCT, SPRAYER, RESPONSE)


def with_product(*lines):
    return (TOP, MONEY, PRODUCT + "".join(f"{line}\n" for line in lines), SPRAYER, RESPONSE)


def without(key, *farm):
    """The farm without a line of the label."""
    return tuple(
        "".join(f"{line}\n" for line in part.splitlines() if not line.startswith(f"{key} = "))
        for part in farm
    )


def said(root, *farm):
    return [line.split(": ", 1)[1] for line in faults(root, *farm)]


@pytest.mark.parametrize("typed", ["1 pt/ac", "0.25 % v/v", "0.25 %", "2 kg/ha", "500 mL/ha"])
def test_an_additive_is_an_amount_or_a_share(tmp_path, typed):
    settings = read(tmp_path, *with_product(f'adjuvant = "{typed}"', f'foliar_feed = "{typed}"'))
    assert settings.product.adjuvant == settings.product.foliar_feed == typed


@pytest.mark.parametrize(
    "typed", ["1 pt", "2 USD/ac", "0,25 %", "0 % v/v", "100 % v/v", "150 %", "-1 pt/ac", "0 pt/ac", "some"]
)
def test_an_additive_that_cannot_be_read_is_refused(tmp_path, typed):
    [line] = said(tmp_path, *with_product(f'foliar_feed = "{typed}"'))
    assert line == (
        f'product.foliar_feed = "{typed}": not an amount on an area or a share of the tank. '
        'Write it as "1 pt/ac", or as a share of the tank, "0.25 % v/v".'
    )


def test_two_amounts_of_adjuvant_are_one_too_many(tmp_path):
    money = MONEY + 'adjuvant = "0.25 % v/v"\nadjuvant_price = "20 USD/gal"\n'
    for typed, wrong in (("1 pt/ac", True), ("0.5 % v/v", True), ("0.25 %", False)):
        farm = (TOP, money, PRODUCT + f'adjuvant = "{typed}"\n', SPRAYER, RESPONSE)
        lines = said(tmp_path, *farm)
        assert bool(lines) == wrong
        assert all("another amount than the share under [money]" in line for line in lines)


def test_dose_and_season_are_of_one_kind(tmp_path):
    farm = without("max_dose", *with_product('max_dose = "16 oz/ac"'))  # a weight, and the dose a volume
    assert said(tmp_path, *farm)[0].startswith("product.max_dose: missing")
    mixed = tuple(part.replace('max_dose = "16 fl oz/ac"', 'max_dose = "16 oz/ac"') for part in GOOD)
    [line] = said(tmp_path, *mixed)
    assert line == (
        'product.max_dose = "16 oz/ac": another kind of unit than dose. '
        "Give both by volume or both by weight, as the label does."
    )


def test_by_hand_a_tank_without_room_for_water_is_refused(tmp_path):
    # 6 gal/ac of product, 5 gal/ac of feed: 11 of the 10 gal/ac, the smallest volume that is there by default
    heavy = tuple(
        part.replace('"8 fl oz/ac"', '"6 gal/ac"').replace('"16 fl oz/ac"', '"12 gal/ac"') for part in GOOD
    )
    assert not said(tmp_path, *heavy)
    both = tuple(part + 'foliar_feed = "5 gal/ac"\n' if "[product]" in part else part for part in heavy)
    [line] = said(tmp_path, *both)
    assert line.startswith('product.dose = "6 gal/ac": leaves no room for water in a mix of 10 gal/ac.')
    # 11 of 15 gal/ac is room enough; 40 % of 15 gal/ac more is 17, and too much again
    volumes = '[carrier]\nvolumes = ["15 gal/ac"]\n'
    assert not said(tmp_path, *both, volumes)
    adjuvant = tuple(part + 'adjuvant = "40 % v/v"\n' if "[product]" in part else part for part in both)
    assert "leaves no room for water in a mix of 15 gal/ac" in said(tmp_path, *adjuvant, volumes)[0]
    # what is injected is not in the tank
    injected = tuple(part + "injection = true\n" if "[[sprayer]]" in part else part for part in both)
    assert not said(tmp_path, *injected)


def test_overage_is_what_lines_and_pump_hold(tmp_path):
    def farm(overage):
        return (TOP, MONEY, PRODUCT, SPRAYER + f'overage = "{overage}"\n', RESPONSE)

    assert read(tmp_path, *farm("25 gal")).sprayers[0].overage_gal == 25
    assert read(tmp_path, *GOOD).sprayers[0].overage_gal == 0
    assert not said(tmp_path, *farm("500 gal"))
    [line] = said(tmp_path, *tuple(part.replace("1000 gal", "800 gal") for part in farm("401 gal")))
    assert line.startswith('sprayer[1].overage = "401 gal": more than half of the tank.')
    assert "out of range" in said(tmp_path, *farm("-1 gal"))[0]


def test_what_lies_around_is_read(tmp_path):
    field = FIELD.replace(
        "[planting]",
        'entrance = "gate"\nwires = "none"\ncontact = "Ana"\nirrigated = true\n'
        '[neighbours]\nnorth = "hives"\n[planting]',
    )
    settings = read(tmp_path, *GOOD, field=field)
    assert (settings.entrance, settings.wires, settings.contact) == ("gate", "none", "Ana")
    assert settings.irrigated
    assert (settings.neighbours.north, settings.neighbours.east) == ("hives", "")
