"""What the pass of a trial cost: by its own rows of done.csv, and by those of no other product."""

from datetime import date

import pytest
from made_harvested import FIELD

from zoning.harvest.cost import cost_of_trial
from zoning.inputs import done, read
from zoning.settings.read import load

TODAY, SPRAYED = date(2026, 10, 20), date(2026, 7, 28)


@pytest.fixture
def cost(farm):
    """Give what the pass costs on a farm where water is bought by the gallon; more rows may come before."""
    at = farm / "farm.toml"
    text = at.read_text(encoding="utf-8")
    at.write_text(text.replace("[money]\n", '[money]\nwater = "0.10 USD/gal"\n'), encoding="utf-8")

    def asked(**cells: str):
        if cells:
            head, row = (farm / "done.csv").read_text(encoding="utf-8").splitlines()
            other = dict(zip(head.split(","), row.split(","), strict=True)) | cells
            told = "\n".join((head, ",".join(other.values()), row, ""))
            (farm / "done.csv").write_text(told, encoding="utf-8")
        settings = load(farm / FIELD)
        given = done.beside(read.field(settings, TODAY, layers=False, is_over=True), settings, TODAY)
        return cost_of_trial(settings, given, [SPRAYED], 55.0)

    return asked


def test_by_hand_water_is_that_of_the_pass(cost):
    money, lines = cost()
    assert money.cost_usd_ac == pytest.approx(18 + 2 + 9 + 0.10 * 15)  # product, adjuvant, pass, 15 gal/ac
    assert sum(one.usd_ac for one in lines if one.counted) == pytest.approx(money.cost_usd_ac)


def test_another_product_of_the_same_day_changes_no_cost(cost):
    before = cost()
    assert cost(product="Another One", rate="40 gal/ac", source="") == before


def test_the_first_row_of_the_product_tells_the_volume(cost):
    money, _ = cost(rate="40 gal/ac")
    assert money.cost_usd_ac == pytest.approx(18 + 2 + 9 + 0.10 * 40)
