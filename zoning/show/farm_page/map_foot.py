"""What stands below a farm's map: scale bars in metres and in feet or miles, and grid north."""

from math import floor, log10

from zoning import units

_STEPS = (1.0, 2.0, 5.0)


def short(value: float) -> str:
    """Write a length or a place as short as a drawing needs it.

    Examples
    --------
    >>> short(1234.567), short(-0.25)
    ('1234.6', '-0.25')
    """
    return f"{value:.5g}"


def nice(most: float) -> float:
    """Give the largest of 1, 2, 5 times a power of ten that is no more.

    Examples
    --------
    >>> nice(740.0), nice(0.31)
    (500.0, 0.2)
    """
    power = 10.0 ** floor(log10(most))
    return max(step * power for step in _STEPS if step * power <= most)


def bars(most_m: float) -> tuple[tuple[float, str], tuple[float, str]]:
    """Give a bar in metres and one in feet or miles: length in metres, and what it says."""
    metric = nice(most_m)
    said = f"{metric / 1000:g} km" if metric >= 1000 else f"{metric:g} m"
    miles = units.mi_from_m(most_m)
    if miles >= 1:
        long = nice(miles)
        return (metric, said), (long / units.mi_from_m(1.0), f"{long:g} mi")
    feet = nice(units.ft_from_m(most_m))
    return (metric, said), (feet / units.ft_from_m(1.0), f"{feet:,g} ft")


def foot(at: tuple[float, float], right: float, em: float) -> str:
    """Draw both scale bars and the arrow to grid north below the fields."""
    parts = ['<g class="foot">']
    y = at[1] + 0.3 * em
    for length, said in bars((right - at[0]) / 3):
        parts.append(
            f'<path class="scale" d="M{short(at[0])} {short(y)}v{short(0.4 * em)}h{short(length)}'
            f'v{short(-0.4 * em)}"/>'
            f'<text x="{short(at[0] + length + 0.4 * em)}" y="{short(y + 0.55 * em)}">{said}</text>'
        )
        y += 1.35 * em
    top = at[1] + 0.1 * em
    x = right - 1.2 * em
    parts.append(
        f'<path class="arrow" d="M{short(x)} {short(top)}l{short(0.5 * em)} {short(1.3 * em)}'
        f'l{short(-0.5 * em)} {short(-0.35 * em)}l{short(-0.5 * em)} {short(0.35 * em)}z"/>'
        f'<text x="{short(x)}" y="{short(top + 2.4 * em)}" text-anchor="middle">grid N</text></g>'
    )
    return "".join(parts)
