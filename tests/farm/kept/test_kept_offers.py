"""An offer and a plan that were kept do what they did before: the same files to the byte."""

import shutil
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from made_demo import HERON_SLOUGH
from made_fields import make_field
from made_region import TODAY, made_region
from same import difference

from zoning import field as one_field
from zoning.farm.kept.codec import digest, from_bytes, to_bytes
from zoning.farm.kept.made_of import varieties_of
from zoning.offers import walks
from zoning.offers.choices import with_choice
from zoning.prescription.as_json.plan_json import as_text
from zoning.settings.read import load

DEMOS = {
    "heron_slough/three_dates",  # blocks, drawn zones of a pass, check strips
    "heron_slough/wet_corner",
    "plover_rise/long_eighty",  # sprayed already, own trials
    "ombu_bend/loma_larga",  # metric, south
}
MADE = (0, 3, 6, 1, 4, 2, 5)  # levels 1, 2 and 3


@pytest.fixture(scope="module")
def offers(tmp_path_factory):
    """Make each offer once; gives a function from its name to the offer, and the folder of its field."""

    @cache
    def offer(name):
        root = tmp_path_factory.mktemp("kept")
        if isinstance(name, int):
            folder = root / "farm" / "field"
            day = make_field(folder, name).today
        elif name == "two sprayers":
            day, folder = TODAY, made_region(root / "farm", 1, small=True).farm / "q00001"
        else:
            farm, _, field = name.partition("/")
            ignored = shutil.ignore_patterns("out", "out.*")
            folder = shutil.copytree(HERON_SLOUGH.parent / farm, root / farm, ignore=ignored) / field
            day = load(folder).as_of
        return one_field.offer(folder, today=day, measured_by=one_field.measure_here), folder

    return offer


def plan_of(offer):
    plan = one_field.alone(offer)
    return replace(plan, walks=walks.of_plan(offer, 0))


def text_of(offer):
    return as_text(one_field.as_object(one_field.run_of(plan_of(offer), offer.provenance)))


def files_of(folder):
    return {
        path.relative_to(folder): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


ALL = [*sorted(DEMOS), *MADE, "two sprayers"]


@pytest.mark.parametrize("name", ALL)
def test_a_kept_offer_gives_the_same_plan(offers, name):
    offer, _ = offers(name)
    data = to_bytes(offer)
    again = from_bytes(data)
    assert difference(offer, again) is None
    assert to_bytes(again) == data
    assert digest(again) == digest(offer)
    assert text_of(again) == text_of(offer)
    assert digest(plan_of(again)) == digest(plan_of(offer))


def test_the_offers_that_are_tried_are_of_all_levels(offers):
    assert {offers(name)[0].level for name in ALL} == {1, 2, 3}
    assert len(offers("two sprayers")[0].choices) == 2
    assert offers("plover_rise/long_eighty")[0].strips is not None


@pytest.mark.parametrize(
    "name", ["heron_slough/three_dates", "plover_rise/long_eighty", "ombu_bend/loma_larga", 3]
)
def test_a_kept_plan_writes_the_same_files(offers, name):
    offer, folder = offers(name)
    run = one_field.run_of(plan_of(offer), offer.provenance)
    again = from_bytes(to_bytes(run))
    assert difference(run, again) is None
    with_pictures = name == "heron_slough/three_dates"
    one_field.write(run, folder / "out", pictures=with_pictures)
    files = files_of(folder / "out")
    shutil.rmtree(folder / "out")
    one_field.write(again, folder / "out", pictures=with_pictures)
    assert files_of(folder / "out") == files
    assert len(files) > 8


def test_what_choices_share_is_shared_again(offers):
    """The schedule prices what is one object once."""
    offer, _ = offers("two sprayers")
    again = from_bytes(to_bytes(offer))
    first, second = (with_choice(again, place) for place in (0, 1))
    for one, other in zip(first.zones, second.zones, strict=True):
        assert one.stage is other.stage
        assert one.outline_m is other.outline_m
    assert again.zones[0].stage is again.choices[0].zones[0].stage


@pytest.mark.parametrize("name", ["heron_slough/three_dates", "two sprayers"])
def test_arrays_of_an_offer_lie_row_by_row(offers, name):
    """A view in another order would come back in order, and sums over it could end in another last bit."""
    found = []

    def look(thing):
        if isinstance(thing, np.ndarray):
            found.append(thing)
        elif isinstance(thing, tuple | list):
            for part in thing:
                look(part)
        elif isinstance(thing, dict):
            look(list(thing.values()))
        elif hasattr(type(thing), "__dataclass_fields__"):
            look([getattr(thing, part) for part in type(thing).__dataclass_fields__])

    look(offers(name)[0])
    assert len(found) > 10
    assert all(one.flags.c_contiguous for one in found)


@pytest.mark.parametrize("name", ["heron_slough/three_dates", "two sprayers"])
def test_a_kept_offer_is_small(offers, name):
    """Draws fill their bits and stay as they are; most of the rest shrinks."""
    assert len(to_bytes(offers(name)[0])) < 250_000


def test_varieties_of_an_offer_are_those_of_its_blocks(offers):
    """By hand: nobody names a variety there, so that a maturity group stands for one."""
    assert varieties_of(offers("heron_slough/wet_corner")[0]) == {"group 1.7"}
    assert varieties_of(offers("ombu_bend/loma_larga")[0]) == {"group 4.8", "group 5.3"}


def test_a_field_without_dates_hears_of_its_varieties_too(tmp_path):
    """Its inputs name what was counted elsewhere, whether that moves a date or not."""
    farm = shutil.copytree(HERON_SLOUGH, tmp_path / "farm", ignore=shutil.ignore_patterns("out", "out.*"))
    (farm / "weather.csv").unlink()
    settings = farm / "farm.toml"
    head, rest = settings.read_text().split("[weather]", 1)
    settings.write_text(head + "[money]" + rest.split("[money]", 1)[1])
    offer = one_field.offer(farm / "three_dates", today=load(HERON_SLOUGH / "three_dates").as_of)
    assert all(zone.spot is None for zone in offer.zones)
    assert varieties_of(offer) == {"group 1.7"}
