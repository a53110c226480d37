"""Seasons and fields with a truth of their own, against which the chances and the worth of plans are judged.

Shares no code and no table with `zoning`: numpy only. It is a small model of how a spray comes to pay: a crop
without disease gains a little; leaf diseases come or do not, by season, field and zone; a spray prevents a
share of what they would take, the less the further it is from R3. It was written before any plan was made
for it, shaped on published figures, and is not changed to fit what the planner says of it. `main` prints its
own figures beside the published ones.

Figures (sources as read in the project's handbook; "assumed" where nothing is published):

- Gain without disease 0.7 bu/ac: Mueller and Robertson 2010 (Iowa, 831 observations), 0.68 where severity
  at R5 was under 5 %. Its spread, season .4, field .45, zone .35: assumed, so that fields span the -0.4 to
  +1.1 of double crops with little disease (Barro et al., 25 trials).
- Brown spot: a season of full protection was worth 2.9-4.4 bu/ac (Cruz et al. 2010, Plant Dis 94:820); drawn
  from 2.4 to 4.8 (assumed), of which one spray saves the efficacy.
- Frogeye: loss of .51 % of the attainable yield per 1 % severity near R6, CI .36-.69 (Barro et al. 2023,
  Plant Dis 107:3422-3429), drawn for each field. Severity: log-normal, median 17 %, log SD .35 between
  fields and .2 per SD of the season (assumed), so that fields with frogeye gain mostly 3-10 bu/ac: 4.8-7.1
  at a Tennessee site over 11 years, 19 % of the yield at one Iowa site.
- Efficacy .6 (assumed in the handbook), between fields .45-.75.
- One field in three has a disease that responds: 9 of 28 environments in Ohio, 7 of 21 in Virginia. Frogeye
  is the lesser part (about one in ten) and comes mostly on susceptible varieties, 40 % of fields (assumed).
- Means: 1.64 bu/ac over 240 trials at R3 (Kandel et al. 2021, doi 10.1094/PDIS-07-20-1578-RE). Between fields
  an SD of 1.1-1.9 (re-analysis of Iowa strips). Years: 0.25, 3.12, 2.89, 2.80, 0.72, 4.01 in those strips, an
  SD of 1.5 of which about 1.0-1.2 is more than the chance of few trials. How strongly a wet season raises
  each disease is set to this.
- Zones of one field: nobody has measured it; a diseased field has it in 85 % of its zones, with a log SD of
  .3 (assumed; makes about the .8 bu/ac that the handbook assumes).
- Stage: Iowa stage means R1 1.07, R2 2.32, R3 2.42, R4 and R5 below 1, at the middle of each stage, for the
  gain without disease. For disease each field lies somewhere between these and the share of R3-R6 that the
  residual life of the product covers (.38, .76, 1, .79, .57 at R1, mid R2, R3, mid R4, R5).
- Dates: R1-R3 13 d, R3 and R4 9 d each, R3-R6 about 30 d. The real R3 misses the forecast with an SD of
  about 4.6 d, shared by season (2.4), variety group (1.8), field (3.2), block (1.2), zone (.8); all assumed.
- Tracks: 2.5, 1.9, 1.3 % of the yield at 60, 90, 120 ft in narrow rows (Conley, quoted by DTN 2014), 0-.8 %
  in 30-in rows (assumed); half of the fields have tracks from earlier passes (assumed).
- Yield 58 bu/ac: control means of the Iowa strips, 57.5 and 58.4; SD 8 (assumed). Price 8.50-13 USD/bu, spray
  22-40 USD/ac with the pass: the range of published examples.
- Scouts look at half of the fields, whatever these are like, about R3. They find frogeye lesions in half of
  the zones that will have it and mistake something for them in 1 of 60; brown spot low in the canopy in 70
  and 15 of 100; they know the variety, the crop before, and roughly how wet it has been (SD .6 about the
  season's own). The class is "seen" with lesions, a susceptible variety and wet weather all three, else by
  points. All assumed; the cut-offs of the points are set so that about .1, .5 and .8 of the zones called low,
  medium and high have a disease; the handbook (2.4) means .10, .50 and .65-.80 by the words.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

MID_SUMMER_DAY = 200.0  # about 19 July
LESIONS, BROWN_SPOT, WET, HISTORY = 2.5, 2.0, 1.0, 0.5  # points of a scout
MEDIUM_FROM, HIGH_FROM = 2.5, 3.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueZone:
    """A zone. The first five are known to a planner, the others are the truth."""

    zone: int
    block: int
    area_ac: float
    pressure: str  # "unknown" where nobody looked
    forecast_r3_day: float
    begin_day: Floats  # R1 ... R7
    gain_bu_ac: float  # without disease, at mid R3
    saved_bu_ac: float  # of what disease would take, at its best stage
    late_share: float  # 0: disease answers to the stage as trials with little of it, 1: as the residual life
    diseased: bool

    def response_bu_ac(self, days: float | Floats) -> Floats:
        """Give the response to a spray on each day; 0 before R1 and after R6."""
        stage = np.interp(days, self.begin_day[:6], np.arange(1.0, 7.0), left=0.0, right=7.0)
        low = np.interp(stage, *STAGE_MEANS, left=0.0, right=0.0)
        residual = np.interp(stage, *RESIDUAL_LIFE, left=0.0, right=0.0)
        disease = (1 - self.late_share) * low + self.late_share * residual
        return np.asarray(self.gain_bu_ac * low + self.saved_bu_ac * disease)


STAGE_MEANS = (
    np.array([1.0, 1.5, 2.5, 3.5, 4.5, 5.5, 6.0]),
    np.array([0.25, 1.07 / 2.42, 2.32 / 2.42, 1.0, 0.40, 0.20, 0.0]),
)
RESIDUAL_LIFE = (
    np.array([1.0, 2.5, 3.0, 4.0, 4.5, 5.0, 6.0]),
    np.array([0.38, 0.76, 1.0, 1.0, 0.79, 0.57, 0.0]),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueField:
    """A field with its zones; money as a planner knows it, and the true loss to tracks."""

    name: str
    season: int
    zones: tuple[TrueZone, ...]
    swath_area_ac: Floats  # (swaths, zones)
    yield_bu_ac: float
    price_usd_bu: float
    product_usd_ac: float
    pass_usd_ac: float
    per_visit_usd: float
    boom_ft: float
    narrow_rows: bool
    tracks_exist: bool
    track_loss_bu_ac: float  # true, on a driven acre

    @property
    def area_ac(self) -> Floats:
        """Area of each zone."""
        return np.array([zone.area_ac for zone in self.zones])

    def value_usd(self, day_of_zone: npt.ArrayLike) -> float:
        """Give what a season's sprays truly return; NaN for a zone that is not sprayed.

        Each zone at its own day, a visit for every different day, tracks once on every swath that is driven.
        """
        day = np.asarray(day_of_zone, dtype=np.float64)
        sprayed = ~np.isnan(day)
        gained = 0.0
        for zone, when in zip(self.zones, day, strict=True):
            if not np.isnan(when):
                saved = self.price_usd_bu * float(zone.response_bu_ac(when))
                gained += zone.area_ac * (saved - self.product_usd_ac - self.pass_usd_ac)
        driven = (self.swath_area_ac[:, sprayed] > 0).any(axis=1)
        tracks = self.track_loss_bu_ac * self.price_usd_bu * self.swath_area_ac[driven].sum()
        visits = np.unique(day[sprayed]).size
        return float(gained - tracks - visits * self.per_visit_usd)


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """What all fields of a season share."""

    number: int
    wet: float
    gain_bu_ac: float
    date_off_d: float
    group_off_d: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Disease:
    """What has come into a field, before its zones."""

    susceptible: bool
    history: float
    brown_bu_ac: float  # taken by brown spot; 0 without
    frogeye_pct: float  # severity near R6; 0 without
    frogeye_bu_ac_pct: float  # loss per 1 %
    efficacy: float


def made_seasons(seasons: int, fields: int, seed: int) -> list[TrueField]:
    """Make all fields of some seasons; each season depends on the seed and its own number only."""
    made = []
    for number in range(seasons):
        rng = np.random.default_rng([seed, number])
        season = season_of(rng, number)
        made += [_field(rng, season, f"s{number}f{index}") for index in range(fields)]
    return made


def season_of(rng: np.random.Generator, number: int) -> Season:
    """Draw what all fields of a season share."""
    return Season(
        number=number,
        wet=float(rng.normal()),
        gain_bu_ac=float(rng.normal(0.7, 0.4)),
        date_off_d=float(rng.normal(0, 2.4)),
        group_off_d=(float(rng.normal(0, 1.8)), float(rng.normal(0, 1.8))),
    )


def _chance(logit: float) -> float:
    return float(1 / (1 + np.exp(-logit)))


def disease_of(rng: np.random.Generator, season: Season, yield_bu_ac: float) -> Disease:
    """Draw what comes into a field."""
    susceptible = bool(rng.random() < 0.4)
    history = float(rng.normal())
    brown = rng.random() < _chance(-1.3 + 1.8 * season.wet + 0.5 * history)
    frogeye = rng.random() < _chance(-5.1 + 1.8 * season.wet + 0.4 * history + 2.8 * susceptible)
    # the log SD of the coefficient: (ln .69 - ln .36) / (2 x 1.96)
    loss_frac = 0.0051 * np.exp(rng.normal(0, 0.166))
    severity = 17 * np.exp(0.2 * season.wet + rng.normal(0, 0.35))
    taken = rng.uniform(2.4, 4.8)
    return Disease(
        susceptible=susceptible,
        history=history,
        brown_bu_ac=float(taken) if brown else 0.0,
        frogeye_pct=float(min(severity, 90.0)) if frogeye else 0.0,
        frogeye_bu_ac_pct=float(yield_bu_ac * loss_frac),
        efficacy=float(rng.uniform(0.45, 0.75)),
    )


def _field(rng: np.random.Generator, season: Season, name: str) -> TrueField:
    yield_bu_ac = float(np.clip(rng.normal(58, 8), 38, 80))
    disease = disease_of(rng, season, yield_bu_ac)
    blocks = int(rng.choice([1, 2, 3], p=[0.5, 0.35, 0.15]))
    zones = max(int(rng.integers(2, 7)), blocks)
    block_of_zone = np.sort(np.concatenate([np.arange(blocks), rng.integers(0, blocks, zones - blocks)]))
    swaths_ac = _swaths_ac(rng, block_of_zone)
    boom_ft = float(rng.choice([60.0, 90.0, 120.0]))
    narrow, tracks = bool(rng.random() < 0.6), bool(rng.random() < 0.5)
    published_frac = {60.0: 0.025, 90.0: 0.019, 120.0: 0.013}[boom_ft] * np.exp(rng.normal(0, 0.25))
    lost_frac = published_frac if narrow else rng.uniform(0, 0.008)
    return TrueField(
        name=name,
        season=season.number,
        zones=_zones(rng, season, disease, (block_of_zone, swaths_ac.sum(axis=0))),
        swath_area_ac=swaths_ac,
        yield_bu_ac=yield_bu_ac,
        price_usd_bu=float(rng.uniform(8.5, 13)),
        product_usd_ac=float(rng.uniform(14, 26)),
        pass_usd_ac=float(rng.uniform(8, 14)),
        per_visit_usd=float(rng.uniform(0, 75)),
        boom_ft=boom_ft,
        narrow_rows=narrow,
        tracks_exist=tracks,
        track_loss_bu_ac=0.0 if tracks else float(lost_frac * yield_bu_ac),
    )


def _swaths_ac(rng: np.random.Generator, block_of_zone: npt.NDArray[np.int64]) -> Floats:
    """Lay blocks side by side, four groups of swaths each; zones of a block share them unevenly."""
    rows = []
    for block in np.unique(block_of_zone):
        inside = np.flatnonzero(block_of_zone == block)
        share = rng.dirichlet(np.full(inside.size, 4.0))
        acres = rng.uniform(20, 90)
        for _ in range(4):
            here = share * np.exp(rng.normal(0, 0.5, inside.size)) * (rng.random(inside.size) < 0.8)
            here = here if here.any() else share
            row = np.zeros(block_of_zone.size)
            row[inside] = acres / 4 * here / here.sum()
            rows.append(row)
    swaths = np.array(rows)
    swaths[0, swaths.sum(axis=0) == 0] = 1.0  # no zone without ground
    return swaths


def _zones(
    rng: np.random.Generator,
    season: Season,
    disease: Disease,
    laid: tuple[npt.NDArray[np.int64], Floats],
) -> tuple[TrueZone, ...]:
    block_of_zone, area_ac = laid
    group = int(rng.integers(2))
    field_off_d = season.date_off_d + season.group_off_d[group] + rng.normal(0, 3.2)
    field_gain = season.gain_bu_ac + rng.normal(0, 0.45)
    late_share = float(rng.random())
    blocks = block_of_zone.max() + 1
    forecast = MID_SUMMER_DAY + rng.normal(0, 6) + np.cumsum(np.append(0, rng.uniform(4, 14, blocks - 1)))
    block_off_d = rng.normal(0, 1.2, blocks)
    lengths_d = np.maximum(rng.normal([13, 9, 9, 12.5, 18], [1.5, 1, 1.2, 2, 2]), 3)
    looked = bool(rng.random() < 0.5)
    felt_wet = season.wet + rng.normal(0, 0.6)
    made = []
    for index, block in enumerate(block_of_zone):
        r3 = forecast[block] + field_off_d + block_off_d[block] + rng.normal(0, 0.8)
        brown, frogeye = (
            taken * np.exp(rng.normal(0, 0.3)) * (rng.random() < 0.85)
            for taken in (disease.brown_bu_ac, disease.frogeye_pct * disease.frogeye_bu_ac_pct)
        )
        called = scouted(rng, disease, (brown > 0, frogeye > 0), felt_wet)
        made.append(
            TrueZone(
                zone=index + 1,
                block=int(block),
                area_ac=float(area_ac[index]),
                pressure=called if looked else "unknown",
                forecast_r3_day=float(forecast[block]),
                begin_day=begin_days(float(r3), lengths_d),
                gain_bu_ac=float(field_gain + rng.normal(0, 0.35)),
                saved_bu_ac=float(disease.efficacy * (brown + frogeye)),
                late_share=late_share,
                diseased=bool(brown > 0 or frogeye > 0),
            )
        )
    return tuple(made)


def begin_days(r3: float, lengths_d: Floats) -> Floats:
    """Give the days on which R1 ... R7 begin, from that of R3 and the lengths of R1-R3, R3, R4, R5, R6."""
    to_r3, of_r3, of_r4, of_r5, of_r6 = lengths_d
    r1 = r3 - to_r3
    return r3 + np.cumsum([r1 - r3, 3 / 13 * to_r3, 10 / 13 * to_r3, of_r3, of_r4, of_r5, of_r6])


def scouted(rng: np.random.Generator, disease: Disease, has: tuple[bool, bool], felt_wet: float) -> str:
    """Give the class that a scout writes down at about R3."""
    brown, frogeye = has
    lesions = rng.random() < (0.5 if frogeye else 1 / 60)
    spots = rng.random() < (0.7 if brown else 0.15)
    wet = felt_wet > 0
    if lesions and disease.susceptible and wet:
        return "seen"
    points = LESIONS * lesions + BROWN_SPOT * spots + WET * (wet + (felt_wet > 1))
    points += HISTORY * (disease.history > 1) + HISTORY * disease.susceptible
    if points >= HIGH_FROM:
        return "high"
    return "medium" if points >= MEDIUM_FROM else "low"


def main() -> None:
    """Print the generator's own figures beside the published ones; nothing here comes from a planner."""
    made = made_seasons(1000, 10, seed=7)
    best = [np.array([zone.gain_bu_ac + zone.saved_bu_ac for zone in one.zones]) for one in made]
    of_field = np.array([np.average(gain, weights=one.area_ac) for gain, one in zip(best, made, strict=True)])
    of_season = of_field.reshape(1000, 10)
    within = of_season.var(axis=1, ddof=1).mean()
    season_sd = np.sqrt(of_season.mean(axis=1).var(ddof=1) - within / 10)
    print(f"mean {of_field.mean():.2f} (published 1.64), SD between fields {of_field.std():.2f} (1.1-1.9)")
    print(f"SD of seasons {season_sd:.2f} (about 1.0-1.2), of zones in a field", end=" ")
    print(f"{np.sqrt(np.mean([one.var(ddof=1) for one in best])):.2f} (.8 assumed)")
    trials = of_field + np.random.default_rng(1).normal(0, 3.51 / np.sqrt(5), of_field.size)
    print(f"trials of 5 pairs: SD {trials.std():.2f} (1.75-2.10), >= 3.3: {(trials >= 3.3).mean():.2f} (.21)")
    quantiles = np.quantile(trials, [0.05, 0.25, 0.5, 0.75, 0.95]).round(2).tolist()
    print(f"  5/25/50/75/95 %: {quantiles} (-1.33 0.43 1.26 3.11 5.60)")
    ill = np.array([any(zone.diseased for zone in one.zones) for one in made])
    print(f"fields with disease {ill.mean():.2f} (9/28, 7/21); their mean {of_field[ill].mean():.2f}")
    print(f"  without: mean {of_field[~ill].mean():.2f}, SD {of_field[~ill].std():.2f} (0.68; -0.4 to 1.1)")
    zones = [zone for one in made for zone in one.zones]
    off = np.array([zone.begin_day[2] - zone.forecast_r3_day for zone in zones])
    print(f"R3 against the forecast: SD {off.std():.2f} d (4-5.5)")
    for pressure in ("unknown", "low", "medium", "high", "seen"):
        called = [zone for zone in zones if zone.pressure == pressure]
        gain = np.array([zone.gain_bu_ac + zone.saved_bu_ac for zone in called])
        share = np.mean([zone.diseased for zone in called])
        print(f"{pressure:8} {len(called):6} zones, diseased {share:.2f}, mean {gain.mean():.2f}", end=" ")
        print(f"SD {gain.std():.2f}, 10/50/90 % {np.quantile(gain, [0.1, 0.5, 0.9]).round(1).tolist()}")


if __name__ == "__main__":
    main()
