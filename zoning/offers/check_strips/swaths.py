"""Swath cells and check strips together: what the operator's files of a field with both hold."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

import shapely
from shapely import Polygon

from zoning.inputs import area
from zoning.inputs.given import Strip
from zoning.inputs.ground.boundary import faces_of
from zoning.offers.check_strips.ground import owner
from zoning.offers.offered import Offer
from zoning.passes.ground import single_parts, union
from zoning.plan import Area, PlanStrips, PlanTreatment


def through(
    treatment: PlanTreatment, strips: PlanStrips, laid: Sequence[Strip], offer: Offer
) -> PlanTreatment:
    """Lay strips over swath cells: on them the strips say what is sprayed.

    Parameters
    ----------
    treatment : PlanTreatment
        It covers the field.
    strips : PlanStrips
        Their pieces say which pass sprays a strip in which zone.
    laid : sequence of Strip
        The same strips in metres.
    offer : Offer
    """
    cells = [cast(Polygon, area.from_lonlat(outline, offer.epsg)) for outline, _ in treatment.parts]
    ground: list[Area] = [*(one.outline_m for one in offer.zones), *(one.outline for one in offer.no_spray)]
    of_strips = [one.outline for one in laid]
    number_of = {
        (one.zone, one.pair, one.treatment): one.pass_number for one in strips.pieces if one.kind == "strip"
    }
    faces = faces_of(shapely.boundary([*cells, *of_strips, *ground]))
    inner = shapely.point_on_surface(faces)
    cell, strip, place = owner(inner, cells), owner(inner, of_strips), owner(inner, ground)
    labels = defaultdict(list)
    for face, of_cell, of_strip, at in zip(faces, cell, strip, place, strict=True):
        if of_cell < 0:
            continue
        label = treatment.parts[of_cell][1]
        if of_strip >= 0 and 0 <= at < len(offer.zones):
            one = laid[of_strip]
            label = number_of.get((offer.zones[at].zone, one.pair, one.treatment), label)
        labels[label].append(face)
    parts = tuple(
        (area.to_lonlat(polygon, offer.epsg), label)
        for label in sorted(labels)
        for polygon in single_parts(union(labels[label]))
    )
    treated_ac = sum(area.geodesic_ac(outline) for outline, label in parts if label)
    return replace(treatment, parts=parts, treated_ac=treated_ac)
