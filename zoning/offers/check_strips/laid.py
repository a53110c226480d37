"""Check strips of a plan: laid once, then read; cut out of the zones, with what they cost.

The strips are laid without knowing what the plan sprays. Here they meet it: an untreated strip is left dry,
a treated one is sprayed by the pass of its zone, or where its zone is skipped by the pass that suits it best.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from shapely import Polygon

from zoning.inputs import area
from zoning.inputs.given import Heading, StripDesign
from zoning.inputs.strips import design as design_file
from zoning.offers.check_strips.cost import cost_usd, grounds, pass_for
from zoning.offers.check_strips.ground import Cut, cut
from zoning.offers.offered import Offer, OfferedZone, Options
from zoning.passes.check_strips import StripGround, lay, notes_of, of_laid, shows
from zoning.passes.problem import Chosen, Visit
from zoning.passes.strip_places import as_over
from zoning.plan import Piece, PlanStrip, PlanStrips, PlanZone
from zoning.settings.model import Settings
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """Strips of a field; `new_text` is the file to be written, empty where they were read from it."""

    design: StripDesign
    new_text: str


def laid(offer: Offer, chosen: Chosen) -> tuple[Laid | None, tuple[Said, ...]]:
    """Give the strips that are laid, or lay them; none where nothing is sprayed or none are wanted.

    New ones are taken as they will be read from their file, so that this run and the next one agree.
    """
    if offer.settings is None or offer.heading is None or offer.level < 3 or not chosen.visits:
        return None, ()
    header_m, other = offer.settings.harvest.header_m, _other_pass(offer.settings)
    pairs = offer.settings.check_strips.pairs
    ground = _ground(offer, offer.heading, chosen)
    if offer.strips is not None:
        notes = _of_read(offer.strips, ground, pairs, header_m, other)
        return Laid(design=offer.strips, new_text=""), notes
    if not offer.may_lay_strips:
        return None, ()  # the notes of the inputs say why
    if pairs == 0:
        return None, (Said("passes.strips_none"),)
    seed = offer.provenance.seed
    found = lay(ground, pairs, seed)
    notes = notes_of(ground, found, pairs, header_m, other)
    if not found:
        return None, notes
    made = StripDesign(
        season=offer.season,
        width_m=ground.boom_m,
        heading_deg=offer.heading.deg,
        seed=seed,
        strips=found,
    )
    about = {"field": offer.field, "laid_on": offer.today.isoformat()}
    text = design_file.as_text(made, offer.epsg, about)
    return Laid(design=design_file.parse(text, offer.epsg, design_file.FILE), new_text=text), notes


def _of_read(
    design: StripDesign, ground: StripGround, asked: int, header_m: float | None, other_pass: str
) -> tuple[Said, ...]:
    """Say of strips from their file what was said when they were laid: the file then gives the same plan."""
    there = len({one.pair for one in design.strips})
    if there < asked:
        found = lay(ground, asked, design.seed)
        if len({one.pair for one in found}) == there:  # else pairs were taken out, or the field changed
            return notes_of(ground, found, asked, header_m, other_pass)
    return of_laid(there, design.width_m, header_m, other_pass)


def _ground(offer: Offer, heading: Heading, chosen: Chosen) -> StripGround:
    """Give the ground that strips are laid on: a zone that has had its pass would show nothing."""
    open_ = [one for one in offer.zones if one.closed_by is None]
    boom_m = _boom_m(offer, chosen)
    if len(open_) < len(offer.zones):
        heading = as_over(heading, [one.outline_m for one in offer.zones], boom_m)
    return StripGround(
        field=offer.field,
        outlines=tuple(one.outline_m for one in open_),
        blocks=tuple(one.block for one in open_),
        heading=heading,
        boom_m=boom_m,
    )


def _other_pass(settings: Settings) -> str:
    return settings.money.other_pass if settings.money is not None else ""


def _boom_m(offer: Offer, chosen: Chosen) -> float:
    names = {visit.sprayer for visit in chosen.visits}
    sprayers = offer.settings.sprayers if offer.settings is not None else ()
    return next(one.boom_m for one in sprayers if one.name in names)


def planned(
    strips: Laid, offer: Offer, options: Options, chosen: Chosen, zones: Sequence[PlanZone]
) -> PlanStrips:
    """Cut strips out of the zones, and say what is done on them and what that costs.

    Parameters
    ----------
    strips : Laid
    offer : Offer
        With zones as their passes find them.
    options : Options
    chosen : Chosen
    zones : sequence of PlanZone
        Decided.
    """
    visits = _visits(offer.zones, options, chosen)
    outlines = [*(one.outline_m for one in offer.zones), *(one.outline for one in offer.no_spray)]
    is_crop = [True] * len(offer.zones) + [False] * len(offer.no_spray)
    pieces = tuple(_piece(one, offer, zones, visits) for one in cut(outlines, strips.design.strips, is_crop))
    on = grounds(pieces, chosen, visits)
    shows_bu_ac, shows_frac = shows(len({one.pair for one in strips.design.strips}))
    return PlanStrips(
        strips=tuple(
            PlanStrip(
                pair=one.pair,
                treatment=one.treatment,
                outline=cast(Polygon, area.to_lonlat(one.outline, offer.epsg)),
            )
            for one in strips.design.strips
        ),
        pieces=pieces,
        width_m=strips.design.width_m,
        untreated_ac=sum(on.untreated_ac.values()),
        treated_ac=sum(on.treated_ac.values()),
        cost_usd=cost_usd(options, chosen, on),
        shows_bu_ac=shows_bu_ac,
        shows_frac=shows_frac,
        seed=strips.design.seed,
        file=design_file.FILE,
        new_design=strips.new_text,
    )


def new_inputs(strips: PlanStrips | None) -> dict[str, str]:
    """Give name and hash of the design that this run lays: from the next run on it is an input."""
    if strips is None or not strips.new_design:
        return {}
    return design_file.hashes(strips.new_design)


def _visits(zones: Sequence[OfferedZone], options: Options, chosen: Chosen) -> dict[int, Visit]:
    """Give the pass that sprays the treated strips of each zone; a zone that none may spray has none."""
    visit_of = {zone: visit for visit in chosen.visits for zone in visit.zones}
    for row, one in enumerate(zones):
        visit = visit_of.get(one.zone) or pass_for(row, one, chosen, options)
        if visit is not None:
            visit_of[one.zone] = visit
    return visit_of


def _piece(one: Cut, offer: Offer, zones: Sequence[PlanZone], visits: Mapping[int, Visit]) -> Piece:
    outline = area.to_lonlat(one.outline, offer.epsg)
    area_ac = area.geodesic_ac(outline)
    if one.place >= len(zones):
        spot = offer.no_spray[one.place - len(zones)]
        return Piece(kind=spot.kind, outline=outline, area_ac=area_ac, source=spot.source)
    zone = zones[one.place]
    if one.strip is None:
        number = zone.pass_number or 0
        return Piece(kind="zone", outline=outline, area_ac=area_ac, zone=zone.zone, pass_number=number)
    is_treated = one.strip.treatment == "treated" and zone.zone in visits
    return Piece(
        kind="strip",
        outline=outline,
        area_ac=area_ac,
        zone=zone.zone,
        pair=one.strip.pair,
        treatment=one.strip.treatment,
        pass_number=visits[zone.zone].number if is_treated else 0,
    )
