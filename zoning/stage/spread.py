"""How far the stage model may be off, as draws: a part shared by a variety, a field's and a block's part.

A part has its own key, so another field changes no draw of this one, and fields of one variety err together.
Counts are not known here; whoever uses them moves these parts.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from zoning.chance import normals
from zoning.evidence import named, number
from zoning.stage.daylength import Floats
from zoning.stage.phenology import Planted


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What a forecast needs beside blocks and weather.

    `field` is the field's name within its farm; `habit` is "indeterminate" or "determinate"; south is a
    negative latitude. `seed` and `draws` belong to the chance.
    """

    field: str
    habit: str
    latitude_deg: float
    today: date
    seed: int
    draws: int = 512  # method: number of draws


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Errors:
    """Errors of one block, observed minus model, in days, shape (draws,)."""

    r1_d: Floats
    r3_d: Floats


def sd_factor(habit: str) -> float:
    """How much wider the error of a growth habit is."""
    return number("stage.determinate_sd_factor") if habit == "determinate" else 1.0


def model_sd_d(maturity_group: float, habit: str) -> float:
    """SD of the model's error at R3 until a count pins it, in days.

    Examples
    --------
    >>> model_sd_d(2.5, "indeterminate"), model_sd_d(5.0, "indeterminate")
    (3.8, 5.6)
    """
    groups = number("stage.early_groups_to"), number("stage.late_groups_from")
    sds_d = number("stage.model_sd_d"), number("stage.model_sd_late_groups_d")
    return float(np.interp(maturity_group, groups, sds_d)) * sd_factor(habit)


def variety_key(block: Planted) -> str:
    """Name whose error part the block shares: its variety, or the unnamed one of its maturity group.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> variety_key(SimpleNamespace(variety="", maturity_group=1.9))
    'group 1.9'
    """
    return key_of(block.variety, block.maturity_group)


def key_of(variety: str, maturity_group: float | None) -> str:
    """Name the error part of a variety, or of an unnamed one by its group; "" where neither is known."""
    unnamed = "" if maturity_group is None else f"group {maturity_group:.1f}"
    return " ".join(variety.split()).casefold() or unnamed


def _shared(situation: Situation, block: Planted, stage: str) -> Floats:
    """Add up the parts of variety, field and block to standard normal draws."""
    share = named("stage.error_variance_share")
    keys = {
        "variety": (variety_key(block),),
        "field": (situation.field,),
        "block": (situation.field, block.name),
    }
    parts = [
        np.sqrt(share[part]) * normals(situation.seed, situation.draws, "stage", stage, part, *key)
        for part, key in keys.items()
    ]
    return np.asarray(np.sum(parts, axis=0))


def errors(situation: Situation, block: Planted) -> Errors:
    """Draws of the model's error at R1 and R3, correlated as on published plots."""
    common = number("stage.r1_r3_error_correlation")
    at_r3 = _shared(situation, block, "R3")
    # eq. two normals with correlation `common`
    at_r1 = common * at_r3 + np.sqrt(1 - common**2) * _shared(situation, block, "R1")
    return Errors(
        r1_d=number("stage.r1_sd_d") * sd_factor(situation.habit) * at_r1,
        r3_d=model_sd_d(block.maturity_group, situation.habit) * at_r3,
    )
