"""Made plans with check strips as they are laid and cut in a run; what they cost is invented."""

from dataclasses import replace

from made_plans import Made, acres, made_plan, outlines_m, to_lonlat

from zoning.inputs.given import Heading
from zoning.offers.check_strips.ground import cut
from zoning.offers.pass_maps import with_maps
from zoning.passes.check_strips import StripGround, lay, shows
from zoning.plan import Piece, Plan, PlanStrip, PlanStrips


def with_laid_strips(made: Made, pairs: int, boom_m: float = 27.432, heading_deg: float = 90.0) -> Plan:
    """The plan with so many pairs; treated strips are sprayed everywhere, in skipped zones by pass 1."""
    plan = made_plan(made)
    shapes = outlines_m(made.labels, made.cell_m, made.origin_m, made.simplify_m)
    ground = StripGround(
        field=made.field,
        outlines=tuple(shapes.values()),
        blocks=tuple(zone.block for zone in plan.zones),
        heading=Heading(heading_deg, "given"),
        boom_m=boom_m,
    )
    strips = lay(ground, pairs, seed=1)
    pieces = []
    for one in cut(ground.outlines, strips, [True] * len(shapes)):
        zone, outline = plan.zones[one.place], to_lonlat(one.outline, made.epsg)
        number = zone.pass_number or (1 if one.strip else 0)
        pieces.append(
            Piece(
                kind="strip" if one.strip else "zone",
                outline=outline,
                area_ac=acres(outline),
                zone=zone.zone,
                pair=one.strip.pair if one.strip else 0,
                treatment=one.strip.treatment if one.strip else None,
                pass_number=0 if one.strip and one.strip.treatment == "untreated" else number,
            )
        )
    sprayed = {zone.zone for zone in plan.zones if zone.pass_number}
    shows_bu_ac, shows_frac = shows(len(strips) // 2)
    on_strips = [one for one in pieces if one.kind == "strip"]
    found = PlanStrips(
        strips=tuple(
            PlanStrip(pair=one.pair, treatment=one.treatment, outline=to_lonlat(one.outline, made.epsg))
            for one in strips
        ),
        pieces=tuple(pieces),
        width_m=boom_m,
        untreated_ac=sum(one.area_ac for one in on_strips if one.zone in sprayed and not one.pass_number),
        treated_ac=sum(one.area_ac for one in on_strips if one.zone not in sprayed and one.pass_number),
        cost_usd=61.4,
        shows_bu_ac=shows_bu_ac,
        shows_frac=shows_frac,
        seed=1,
        file="strips/design.geojson",
        new_design="",
    )
    return with_maps(replace(plan, strips=found if strips else None))
