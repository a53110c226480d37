"""What an hour is held against before it counts as a spray hour: usual limits, and those of the label.

The label as entered wins; which hours it lets through is decided elsewhere.
"""

from dataclasses import dataclass

from zoning.evidence import number, numbers
from zoning.settings.model import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class HourLimits:
    """Limits of a spray hour; None where something is not asked.

    Wind is that at boom height. `wind_caution_mph` is the usual upper limit, above which only a label lets
    spray go on. `wind_height_m` is where the wind of the file was measured.
    """

    wind_least_mph: float
    wind_most_mph: float
    wind_caution_mph: float
    wind_height_m: float
    rainfast_h: float | None
    wet_ground_mm: float | None
    before_sunset_h: float | None
    after_sunrise_h: float
    temp_most_c: float | None = None
    rh_least_pct: float | None = None


def limits_of(
    *, wind_height_m: float, max_wind_mph: float | None, droplet: str, rainfast_h: float | None
) -> HourLimits:
    """Set the limits by what the label says, as entered, and by usual figures where it says nothing.

    Parameters
    ----------
    wind_height_m : float
        Height at which the wind of the file was measured. [m]
    max_wind_mph : float or None
        Most wind by the label. Below the usual limit it wins. Above it, it counts only with a droplet class,
        and only up to the strongest wind that labels are known to allow. [mph]
    droplet : str
        Droplet class as the label words it, "" where none is entered.
    rainfast_h : float or None
        Hours without rain after spraying by the label; None: the usual figure. [h]

    Examples
    --------
    >>> limits_of(wind_height_m=10, max_wind_mph=15.0, droplet="", rainfast_h=None).wind_most_mph
    10.0
    >>> limits_of(wind_height_m=10, max_wind_mph=15.0, droplet="coarse", rainfast_h=None).wind_most_mph
    15.0
    """
    least, usual, strongest = numbers("passes.spray_wind_mph").tolist()
    most = usual
    if max_wind_mph is not None:
        most = min(max_wind_mph, strongest if droplet.strip() else usual)
    before_h, after_h = numbers("passes.inversion_h").tolist()
    return HourLimits(
        wind_least_mph=least,
        wind_most_mph=most,
        wind_caution_mph=usual,
        wind_height_m=wind_height_m,
        rainfast_h=number("passes.rainfast_usual_h") if rainfast_h is None else rainfast_h,
        wet_ground_mm=number("passes.wet_ground_mm"),
        before_sunset_h=before_h,
        after_sunrise_h=after_h,
    )


def limits_for(settings: Settings) -> HourLimits:
    """Set the limits of a field by its label, as far as one is entered."""
    product = settings.product
    return limits_of(
        wind_height_m=settings.weather.wind_height_m,
        max_wind_mph=None if product is None else product.max_wind_mph,
        droplet="" if product is None else product.droplet,
        rainfast_h=None if product is None else product.rainfast_h,
    )
