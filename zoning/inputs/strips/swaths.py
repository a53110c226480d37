"""Whether check strips that are laid lie on swaths that are driven: boom, heading, lines may change."""

import numpy as np

from zoning.evidence import number
from zoning.inputs.given import Heading, StripDesign
from zoning.inputs.planted.azimuth import off_deg
from zoning.settings.model import Settings
from zoning.units import ft_from_m
from zoning.words import Said


def doubts(design: StripDesign, heading: Heading, settings: Settings, file: str) -> tuple[Said, ...]:
    """Say what keeps the boom from driving strips as they lie.

    Parameters
    ----------
    design : StripDesign
    heading : Heading
        In which the field is driven now.
    settings : Settings
        With one sprayer or more.
    file : str
        Of the design.
    """
    notes: list[Said] = []
    booms_m = [one.boom_m for one in settings.sprayers]
    if min(abs(one - design.width_m) for one in booms_m) > number("inputs.strip_overlap_m"):
        sizes = {"width_ft": ft_from_m(design.width_m), "width_m": design.width_m}
        notes.append(Said("inputs.strips_of_other_boom", file=file, **sizes))
    apart_deg = abs(off_deg(heading.deg, design.heading_deg))
    if apart_deg > number("inputs.guidance_given_within_deg"):
        laid, driven = design.heading_deg % 180, heading.deg % 180
        notes.append(Said("inputs.strips_of_other_heading", file=file, laid=laid, driven=driven))
    if not notes and heading.through_m is not None and design.strips:
        beside_m = _beside_m(design, heading.deg, heading.through_m)
        if beside_m > number("inputs.strip_beside_m"):
            notes.append(Said("inputs.strips_beside_swaths", file=file, m=beside_m))
    return tuple(notes)


def _beside_m(design: StripDesign, heading_deg: float, through_m: tuple[float, float]) -> float:
    """How far the middle of a strip lies beside the middle of the nearest swath, at most."""
    turn = np.radians(heading_deg)
    across = np.array([np.cos(turn), -np.sin(turn)])
    middles = [np.array(one.outline.centroid.coords[0]) for one in design.strips]
    off_m = (np.array(middles) - through_m) @ across
    half_m = design.width_m / 2
    return float(np.abs((off_m + half_m) % design.width_m - half_m).max())
