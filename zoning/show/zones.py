"""The lines of a run's report that say how the zones came about and how good they are. Prints nothing."""

from collections.abc import Iterator

from zoning.plan import BlockZones, Plan
from zoning.show.figures import of_day, plain


def layer_lines(plan: Plan) -> list[str]:
    """Give the line on what the zones explain of the layers; none where nobody measured it."""
    return list(_layer_line(plan))


def block_lines(plan: Plan) -> list[str]:
    """Give a line for each block that could have several zones."""
    return [_block_line(one) for one in plan.blocks if len(one.held_out) > 1]


def _percent(share: float) -> str:
    return f"{max(0.0, 100 * share):.0f} %"


def _layer_line(plan: Plan) -> Iterator[str]:
    layers = plan.quality.layers if plan.quality else ()
    told = [
        f"{_percent(one.explained_frac)} of {plain(of_day(one.name, ' of '), 40)}"
        f"{'' if one.used else ' (not drawn on)'}"
        for one in layers
        if one.explained_frac is not None
    ]
    if told:
        yield f"of the differences in the field the zones hold {', '.join(told)}"


def _block_line(one: BlockZones) -> str:
    """Say what more zones would have explained and kept."""
    parts = [f"explained of ground not used to draw them, {_curve(one.held_out)}"]
    if len(one.kept) > 1:
        parts.append(f"kept of the return of a plan for every spot, {_curve(one.kept)}")
    if one.agreement is not None:
        parts.append(
            f"agreement when drawn again from parts of the ground, {one.agreement.mean:.2f} (1: the same)"
        )
    return f"block {one.block}, {one.zones} zone{'s' if one.zones > 1 else ''}: {'; '.join(parts)}"


def _curve(pairs: tuple[tuple[int, float], ...]) -> str:
    return ", ".join(f"{number}: {_percent(share)}" for number, share in pairs)
