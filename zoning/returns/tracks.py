"""The crop that wheels press down on a driven acre, where no tracks exist yet."""

from datetime import date

import numpy as np

from zoning.evidence import named, number, numbers
from zoning.settings.model import Sprayer
from zoning.units import ft_from_m, in_from_m

_HALF_A_YEAR_MONTHS = 6  # eq. the seasons south of the equator are half a year off
_MONTHS = 12  # eq. months of a year


def loss_frac(sprayer: Sprayer, row_spacing_m: float, planted: date, latitude_deg: float) -> float:
    """Share of the yield that is lost on every acre driven.

    Parameters
    ----------
    sprayer : Sprayer
        Aircraft and drones leave no tracks; `tracks_exist` says that an earlier pass left them.
    row_spacing_m : float
        Distance between rows. [m]
    planted : date
        Late-planted crops do not grow back.
    latitude_deg : float
        South of the equator the late date is half a year later. [deg]

    Returns
    -------
    float
        0 where nothing is pressed down. Counts once per swath and season. [1]

    Notes
    -----
    Narrow rows: 159 / boom in ft, in percent, the mean of the losses that S. Conley (University of Wisconsin,
    quoted by DTN, 10 July 2014) gives for 60, 90 and 120 ft, times the boom.

    Examples
    --------
    >>> rig = Sprayer(name="rig", boom="90 ft", speed=["5 mph", "14 mph"], tank="1000 gal", fill_min=15)
    >>> round(loss_frac(rig, 0.381, date(2026, 5, 5), 44.0), 4)
    0.0177
    """
    if sprayer.kind != "ground" or sprayer.tracks_exist:
        return 0.0
    if round(in_from_m(row_spacing_m), 2) > number("returns.track_widest_narrow_row_in"):
        return number("returns.track_wide_row_loss_frac")
    loss = boom_loss_frac(ft_from_m(sprayer.boom_m))
    late = is_late(planted, latitude_deg)
    return loss * number("returns.track_late_factor") if late else loss


def entries(sprayer: Sprayer, row_spacing_m: float, planted: date, latitude_deg: float) -> tuple[str, ...]:
    """Name the entries behind `loss_frac`; none where nothing is pressed down."""
    if sprayer.kind != "ground" or sprayer.tracks_exist:
        return ()
    if round(in_from_m(row_spacing_m), 2) > number("returns.track_widest_narrow_row_in"):
        return ("returns.track_wide_row_loss_frac",)
    late = is_late(planted, latitude_deg)
    return ("returns.track_losses", "returns.track_late_factor") if late else ("returns.track_losses",)


def boom_loss_frac(boom_ft: float) -> float:
    """Share of the yield of narrow rows that new tracks take, for a boom of any width [1].

    Examples
    --------
    >>> round(boom_loss_frac(120), 4)
    0.0132
    """
    published_boom_ft, published_loss_pct = numbers("returns.track_losses").T
    # eq. L = mean(loss x boom) / boom, from percent
    return float(np.mean(published_boom_ft * published_loss_pct)) / boom_ft / 100  # eq. percent


def is_late(planted: date, latitude_deg: float, entry: str = "returns.track_late_after") -> bool:
    """Whether a crop was planted after the day of an entry, as the last on which it grows back over tracks.

    The year of a season runs from 1 January in the north and from 1 July in the south.

    Examples
    --------
    >>> is_late(date(2026, 6, 12), 44.0), is_late(date(2026, 5, 5), 44.0), is_late(date(2026, 11, 5), -32.0)
    (True, False, False)
    """
    after = named(entry)
    month = planted.month
    if latitude_deg < 0:
        month = (month + _HALF_A_YEAR_MONTHS - 1) % _MONTHS + 1
    return (month, planted.day) > (int(after["month"]), int(after["day"]))
