"""Plans with check strips or swath cells, cut by hand along the columns of a field's table."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from made_plans import Made, acres, made_plan, outlines_m, to_lonlat

from zoning.offers.pass_maps import with_maps
from zoning.passes.ground import single_parts
from zoning.plan import Piece, Plan, PlanStrip, PlanStrips, PlanTreatment


def with_strips(made: Made, columns: Mapping[int, tuple[Sequence[int], Sequence[int]]]) -> Plan:
    """The plan, with the columns of the table that each pair leaves untreated and treats in pass 1."""
    plan = made_plan(made)
    table = np.asarray(made.labels)
    strip = np.zeros(table.shape, dtype=int)  # 2 x pair, and one more where treated
    for pair, (untreated, treated) in columns.items():
        strip[:, list(untreated)] = 2 * pair
        strip[:, list(treated)] = 2 * pair + 1
    passes = {zone.zone: zone.pass_number or 0 for zone in plan.zones}
    pieces, of_strip = [], {}
    for key, shape in outlines_m(np.where(table, table * 100 + strip, 0), made.cell_m, made.origin_m).items():
        zone, kind = divmod(key, 100)
        outline = to_lonlat(shape, made.epsg)
        treated = bool(kind % 2)
        pieces.append(
            Piece(
                kind="strip" if kind else "zone",
                outline=outline,
                area_ac=acres(outline),
                zone=zone,
                pair=kind // 2,
                treatment=("treated" if treated else "untreated") if kind else None,
                pass_number=passes[zone] if not kind else 1 if treated else 0,
            )
        )
    strips = outlines_m(np.where(table, strip, 0), made.cell_m, made.origin_m)
    of_strip = [
        PlanStrip(pair=kind // 2, treatment="treated" if kind % 2 else "untreated", outline=part)
        for kind, shape in strips.items()
        for part in single_parts(to_lonlat(shape, made.epsg))
    ]
    return with_maps(
        replace(
            plan,
            strips=PlanStrips(
                strips=tuple(of_strip),
                pieces=tuple(pieces),
                width_m=made.cell_m,
                untreated_ac=_sum(pieces, passes, "untreated"),
                treated_ac=_sum(pieces, passes, "treated"),
                cost_usd=41.5,
                shows_bu_ac=3.0,
                shows_frac=0.4,
                seed=0,
                file="strips/design.geojson",
                new_design="",
            ),
        )
    )


def _sum(pieces: Sequence[Piece], passes: Mapping[int, int], treatment: str) -> float:
    """Acres that get another action than their zone."""
    return sum(
        piece.area_ac
        for piece in pieces
        if piece.treatment == treatment and (piece.pass_number > 0) != (passes[piece.zone] > 0)
    )


def with_swath_cells(made: Made, passes: Sequence[Sequence[int]]) -> Plan:
    """The plan, with a table of passes (0 = none) that is followed instead of the zones."""
    plan = made_plan(made)
    table = np.where(np.asarray(made.labels), np.asarray(passes) + 1, 0)
    parts = tuple(
        (to_lonlat(shape, made.epsg), number - 1)
        for number, shape in outlines_m(table, made.cell_m, made.origin_m).items()
    )
    treated_ac = sum(acres(outline) for outline, number in parts if number)
    treatment = PlanTreatment(
        heading_deg=0.0,
        heading_source="given",
        swath_m=made.cell_m,
        step_m=made.cell_m,
        least_run_m=made.cell_m,
        treated_ac=treated_ac,
        differs_frac=0.1,
        parts=parts,
    )
    return with_maps(replace(plan, treatment=treatment))
