"""Past seasons move the next one: shares by hand, what must hold of any seasons, and a simulated truth."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.evidence import named
from zoning.inputs.season_book import Book, BookRow
from zoning.stage.likelihood import GRID, count_rules
from zoning.stage.past_seasons import Mattering, biases, past, past_of
from zoning.stage.posterior import Place, covariance, posterior
from zoning.stage.spread import model_sd_d

RULES = replace(count_rules(), floor_d=0.0)
SD_D = model_sd_d(2.0, "indeterminate")
CALLED = {"n": "North", "s": "South"}
HERE = Place("p19", "North", "1", SD_D)
OTHER_FIELD = Place("p19", "South", "1", SD_D)
OTHER_VARIETY = Place("q21", "North", "1", SD_D)


def row(season, off_d, field="n", **more):
    known = {"variety": "P19", "maturity_group": 2.0} | more
    day = date(season, 7, 10)
    return BookRow(season=season, field=field, r3_forecast=day, r3_seen=day + timedelta(days=off_d), **known)


def told(rows, place=HERE, season=2026):
    heard = past(rows, season, "indeterminate", CALLED)
    logs = np.array([one.log_likelihood for one in heard]).reshape(len(heard), len(GRID))
    return posterior([one.place for one in heard], logs, [place], RULES)[0]


# -- by hand ------------------------------------------------------------------------------------------------


def test_by_hand_covariance_between_seasons():
    # SD 5, 25 d2: variety .2 x .75 = .15, field .64 x .25 = .16, block 0: both 7.75, variety 3.75, field 4
    here = Place("v", "North", "1", 5.0)
    then = replace(here, season="2025")
    others = [replace(then, field="South"), replace(then, variety="w"), replace(then, season="2024")]
    assert covariance([here], [then, *others])[0] == pytest.approx([7.75, 3.75, 4.0, 7.75])
    assert covariance([then], [then, replace(then, zone="2")])[0] == pytest.approx([25.0, 21.0])


def test_by_hand_one_season_that_somebody_wrote_down():
    # model 3.8 d, a day written down 3 d: .31 x 14.44 = 4.4764 d2 of 14.44 + 9 = 23.44 d2, so .19097 of -4 d;
    # SD sqrt(14.44 - 4.4764^2 / 23.44) = 3.6858 d
    found = told([row(2025, -4)])
    assert (found.mean_d, found.sd_d) == pytest.approx((-0.76390, 3.68579), abs=1e-4)


def test_by_hand_one_season_of_which_only_the_seen_day_has_an_sd():
    # 4 d2 for 9: 4.4764 / 18.44 of -4 d
    assert told([row(2025, -4, r3_seen_sd_d=2.0)]).mean_d == pytest.approx(-0.97102, abs=1e-4)


def test_by_hand_a_forecast_surer_than_the_model_makes_counts_no_surer():
    # before 3 d, after 2 d: 1 / (1/4 - 1/9) = 7.2 d2, and nothing beyond the model's 3.8 d
    (one,) = past([row(2025, -3, r3_forecast_sd_d=3.0, r3_seen_sd_d=2.0)], 2026, "indeterminate", CALLED)
    assert np.diff(one.log_likelihood, 2) / np.diff(GRID)[0] ** 2 == pytest.approx(-1 / 7.2, rel=1e-4)


def test_by_hand_what_counts_alone_said():
    # before 3.8 d, after 2 d, 3 d earlier: precision 1/4 - 1/14.44 = .180748, -3 / 4 / .180748 = -4.14944 d,
    # give or take 1 / sqrt(.180748) = 2.35214 d
    (one,) = past([row(2025, -3, r3_forecast_sd_d=3.8, r3_seen_sd_d=2.0)], 2026, "indeterminate", CALLED)
    weight = np.exp(one.log_likelihood - one.log_likelihood.max())
    weight /= weight.sum()
    mean_d = weight @ GRID
    assert mean_d == pytest.approx(-4.14944, abs=1e-4)
    assert np.sqrt(weight @ (GRID - mean_d) ** 2) == pytest.approx(2.35214, abs=1e-4)


def test_by_hand_counts_that_claim_to_know_the_day_are_no_surer_than_counts_can_be():
    # after .1 d counts as the floor of 1.5 d: precision 1/2.25 - 1/14.44 = .375192, -3 / 2.25 / .375192
    (one,) = past([row(2025, -3, r3_forecast_sd_d=3.8, r3_seen_sd_d=0.1)], 2026, "indeterminate", CALLED)
    curve = np.diff(one.log_likelihood, 2) / np.diff(GRID)[0] ** 2
    assert curve == pytest.approx(-0.375192, rel=1e-4)
    assert GRID[one.log_likelihood.argmax()] == pytest.approx(-3.55371, abs=np.diff(GRID)[0])


def test_by_hand_weather_that_the_forecast_did_not_know_is_that_seasons_alone():
    # 7 d before, 2 d after: 1 / (1/4 - 1/49) = 4.35556 d2, and 49 - 14.44 = 34.56 d2 beyond the model, so
    # 6.23824 d
    (one,) = past([row(2025, -3, r3_forecast_sd_d=7.0, r3_seen_sd_d=2.0)], 2026, "indeterminate", CALLED)
    curve = np.diff(one.log_likelihood, 2) / np.diff(GRID)[0] ** 2
    assert curve == pytest.approx(-1 / 6.23824**2, rel=1e-4)


def test_by_hand_biases_of_field_and_variety():
    # as above, 23.44 d2: the field's part .16 x 14.44 = 2.3104 d2, so -4 x 2.3104 / 23.44 = -.39427 d, SD
    # sqrt(2.3104 - 2.3104^2 / 23.44) = 1.44315 d; the variety's .15: 2.166 d2, -.36962 d, 1.40209 d
    field, variety = biases([row(2025, -4)], 2025)
    assert (field.kind, field.name, field.seasons, field.seen_d) == ("field", "n", 1, -4.0)
    assert (field.shrunk_d, field.sd_d) == pytest.approx((-0.39427, 1.44315), abs=1e-4)
    assert (variety.kind, variety.name) == ("variety", "P19")
    assert (variety.shrunk_d, variety.sd_d) == pytest.approx((-0.36962, 1.40209), abs=1e-4)


# -- what tells, and what does not --------------------------------------------------------------------------


def test_nothing_is_told_by_this_season_later_ones_and_rows_without_both_days():
    unseen = replace(row(2025, -4), r3_seen=None)
    uncounted = row(2025, -4, r3_forecast_sd_d=3.8, r3_seen_sd_d=3.8)
    rows = [row(2026, -4), row(2027, -4), unseen, uncounted]
    assert past(rows, 2026, "indeterminate", CALLED) == ()
    assert told([]).mean_d == 0
    assert biases(rows[2:], 2026) == ()


def test_zones_of_a_block_are_one_witness():
    zones = [row(2025, -4, block="A", zone=zone) for zone in (1, 2, 3)]
    assert told(zones).mean_d == told(zones[:1]).mean_d
    assert told([*zones, row(2025, -9)]).mean_d == told(zones[:1]).mean_d, "nor is the whole field another"
    apart = told([row(2025, -3, block="A", zone=1), row(2025, -5, block="A", zone=2)])
    assert apart.mean_d == pytest.approx(told(zones).mean_d)
    # of rows that are unlike, the block is as unsure as the least sure
    surer = row(2025, -4, block="A", zone=4, r3_seen_sd_d=1.6)
    assert told([*zones, surer]).sd_d == told(zones).sd_d


def test_blocks_in_which_nobody_counted_do_not_silence_the_day_of_the_field():
    uncounted = replace(row(2025, 0, block="A", zone=1), r3_seen=None)
    assert told([uncounted, row(2025, -4)]).mean_d == told([row(2025, -4)]).mean_d < 0


def test_who_shares_what():
    rows = [row(2025, -6)]
    own, sister, heir = (told(rows, place).mean_d for place in (HERE, OTHER_FIELD, OTHER_VARIETY))
    assert own < sister < 0
    assert own < heir < 0
    assert told(rows, Place("q21", "South", "1", SD_D)).mean_d == pytest.approx(0, abs=1e-9)
    nameless = [row(2025, -6, variety="", maturity_group=None)]
    assert told(nameless).mean_d == pytest.approx(heir)
    assert told([row(2025, -6, field="a field that is gone")]).mean_d == pytest.approx(sister)
    # nameless varieties of two fields are not one
    elsewhere = row(2024, -6, field="s", variety="", maturity_group=None)
    alone, beside = (biases(told, 2025)[0] for told in (nameless, [*nameless, elsewhere]))
    assert beside.shrunk_d == pytest.approx(alone.shrunk_d)


def test_biases_are_listed_by_field_and_variety_over_all_seasons():
    rows = [row(2023, -4), row(2024, -2), row(2024, 3, field="s", variety="Q21"), row(2027, 30)]
    found = {(one.kind, one.name): one for one in biases(rows, 2025)}
    assert set(found) == {("field", "n"), ("field", "s"), ("variety", "P19"), ("variety", "Q21")}
    north = found["field", "n"]
    assert (north.seasons, north.seen_d) == (2, -3.0)
    # a season counts once, however many blocks tell of it
    blocks = [row(2024, 4, block="A"), row(2024, 2, block="B"), row(2025, -1)]
    assert biases(blocks, 2025)[0].seen_d == (3 - 1) / 2
    assert north.seen_d < north.shrunk_d < 0 < found["field", "s"].shrunk_d < 3


def test_the_page_shows_what_comes_out():
    page = (Path(__file__).parents[2] / "docs" / "explanation" / "stage.md").read_text(encoding="utf-8")
    counted = {"r3_forecast_sd_d": 3.8, "r3_seen_sd_d": 1.8}
    for seasons in (1, 3, 5, 10):
        noted = [row(2025 - back, -5) for back in range(seasons)]
        seen_too = [row(2025 - back, -5, **counted) for back in range(seasons)]
        moves = [told(noted), told(seen_too), told(noted, OTHER_FIELD)]
        days = " | ".join(f"{one.mean_d:.1f} d" for one in moves)
        assert f"| {seasons} | {days} |" in page
    share, lasts = named("stage.error_variance_share"), named("stage.error_persists_frac")
    for part in ("variety", "field", "block"):
        shown = " | ".join(f"{one:.0%}".replace("%", " %") for one in (share[part], lasts[part]))
        assert f"| {part} | {shown} | {100 * share[part] * lasts[part]:.0f} % |" in page


# -- properties ---------------------------------------------------------------------------------------------

offs = st.integers(-12, 12)
sds = st.sampled_from([None, (3.8, 1.6), (3.8, 2.9), (7.0, 2.0)])


def seen(season, off_d, sd_d, **more):
    known = {} if sd_d is None else {"r3_forecast_sd_d": sd_d[0], "r3_seen_sd_d": sd_d[1]}
    return row(season, off_d, **known, **more)


@given(st.integers(1, 12), sds, st.sampled_from([HERE, OTHER_FIELD, OTHER_VARIETY]))
def test_more_seasons_that_agree_move_further_but_never_past_what_they_said(off_d, sd_d, place):
    rows = [seen(2025 - back, off_d, sd_d) for back in range(8)]
    moves = [told(rows[:count], place).mean_d for count in range(9)]
    (one, *_) = past(rows, 2026, "indeterminate", CALLED)
    said_d = float(GRID[one.log_likelihood.argmax()])
    assert all(more > less for less, more in pairwise(moves))
    assert moves[-1] < said_d + 0.1  # a step of the grid


@given(st.lists(st.tuples(offs, sds), min_size=1, max_size=6), st.sampled_from([HERE, OTHER_FIELD]))
def test_no_season_makes_it_less_certain(seasons, place):
    rows = [seen(2025 - back, *one) for back, one in enumerate(seasons)]
    after = [told(rows[:count], place).sd_d for count in range(len(rows) + 1)]
    assert after[0] == pytest.approx(SD_D)
    assert all(more <= less + 1e-9 for less, more in pairwise(after))
    persists = named("stage.error_persists_frac")
    share = named("stage.error_variance_share")
    lasting = sum(share[part] * persists[part] for part in share)
    assert after[-1] > SD_D * np.sqrt(1 - lasting), "what does not last stays unknown"


@given(st.integers(1, 12), sds)
def test_seasons_that_contradict_each_other_cancel(off_d, sd_d):
    rows = [seen(2024, off_d, sd_d), seen(2025, -off_d, sd_d)]
    assert told(rows).mean_d == pytest.approx(0, abs=1e-6)
    assert told(rows).sd_d < told([]).sd_d


@given(st.lists(st.tuples(offs, sds), min_size=1, max_size=5), st.permutations(range(5)))
def test_the_order_of_rows_does_not_matter(seasons, order):
    rows = [seen(2025 - back, *one) for back, one in enumerate(seasons)]
    mixed = [rows[at] for at in order if at < len(rows)]
    assert told(mixed).mean_d == pytest.approx(told(rows).mean_d, abs=1e-9)


# -- simulated truth ----------------------------------------------------------------------------------------

FARMS = 400
COUNT_SD_D = 2.0
SEASONS = 6


@pytest.fixture(scope="module")
def farms():
    """Farms of two fields with one variety: the errors of past seasons as books, and that of the next one."""
    chance = np.random.default_rng(5)
    share, lasts = named("stage.error_variance_share"), named("stage.error_persists_frac")

    def part(name, *shape):
        lasting, own = chance.standard_normal((2, *shape, SEASONS + 1))
        lasting[...] = lasting[..., :1]
        return np.sqrt(share[name]) * (np.sqrt(lasts[name]) * lasting + np.sqrt(1 - lasts[name]) * own)

    error_d = SD_D * (part("variety", FARMS, 1) + part("field", FARMS, 2) + part("block", FARMS, 2))
    told_d = error_d + COUNT_SD_D * chance.standard_normal(error_d.shape)
    weight = SD_D**2 / (SD_D**2 + COUNT_SD_D**2)
    known = {"r3_forecast_sd_d": SD_D, "r3_seen_sd_d": COUNT_SD_D * np.sqrt(weight)}
    books = [
        [
            row(2025 - back, round(weight * of_farm[at, back + 1]), field=field, **known)
            for back in range(SEASONS)
            for at, field in enumerate("ns")
        ]
        for of_farm in told_d
    ]
    return error_d[:, 0, 0], books


def judged(farms, seasons):
    """Root mean square error of the next season, and how many of its 90 % intervals hold."""
    truth_d, books = farms
    after = [told([one for one in book if one.season >= 2026 - seasons]) for book in books]
    mean_d = np.array([one.mean_d for one in after])
    half_d = 1.6449 * np.array([one.sd_d for one in after])
    return np.sqrt(np.mean((mean_d - truth_d) ** 2)), np.mean(np.abs(mean_d - truth_d) <= half_d)


def test_intervals_hold_and_errors_fall_with_the_seasons(farms):
    found = [judged(farms, seasons) for seasons in (0, 2, SEASONS)]
    errors_d = [error_d for error_d, _ in found]
    assert errors_d[0] > errors_d[1] > errors_d[2]
    # 400 farms: nine in ten, give or take 1.5 in a hundred
    assert all(0.85 <= held <= 0.95 for _, held in found)


def test_what_matters_to_a_field_is_picked_from_what_all_seasons_tell():
    chance = np.random.default_rng(4)
    rows = [
        row(
            int(chance.integers(2020, 2028)),
            int(chance.integers(-8, 9)),
            f"f{chance.integers(6)}",
            variety=("P19", "Q21", "R23", "")[chance.integers(4)],
            block=("", "A", "B")[chance.integers(3)],
            maturity_group=(None, 1.6, 2.0)[chance.integers(3)],
        )
        for _ in range(150)
    ]
    book = Book(rows=tuple(rows))
    called = {"f1": "North", "f2": "North", "f3": "folder f4"}
    for season in (2023, 2026):
        every = past(rows, season, "indeterminate", called)
        for varieties in (set(), {"p19"}, {"q21", "group 2.0"}, {"group 1.6", "nobody's"}):
            for name in ("North", "folder f4", "folder f5", "elsewhere"):
                matter = Mattering(varieties=frozenset(varieties), name=name)
                found = past_of(book, season, "indeterminate", called, matter)
                wanted = [one for one in every if one.place.variety in varieties or one.place.field == name]
                assert [one.place for one in found] == [one.place for one in wanted]
                for one, other in zip(found, wanted, strict=True):
                    assert np.array_equal(one.log_likelihood, other.log_likelihood)
