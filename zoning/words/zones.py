"""Sentences about why a block is one zone, what is doubtful in zones, and what is in none."""

SENTENCES: dict[str, str] = {
    # ground that is in no zone
    "zones.never_sprayed": "never sprayed: {area} ({kinds})",
    "zones.never_sprayed_legend": "never sprayed, {area} ({kinds})",
    "zones.never_sprayed_here": "never sprayed",
    "zones.kind_setbacks": "setbacks",
    "zones.kind_dead": "dead ground",
    "zones.map_setbacks": "setback",
    "zones.map_dead": "dead",
    # zones
    "zones.one_response": "the zones of block {block} respond alike, as far as is known",
    "zones.no_layer": "block {block} is one zone: no layer tells its parts apart",
    "zones.small": "block {block} is one zone: it does not hold two zones of the smallest size",
    "zones.few_cells": (
        "block {block} is one zone: too few of its cells lie away from the edge and were seen in every layer"
    ),
    "zones.rise": "block {block} is one zone: its layers show nothing that is more than noise",
    "zones.size": "block {block} is one zone: what its layers show is smaller than the smallest zone",
    "zones.given_cut": "planting edges cut the drawn zone {zone}; each part is a zone of that name: {parts}",
    "zones.given_joined": "parts of the drawn zone {zone} are too small for zones and joined others: {parts}",
    "zones.given_gone": "the drawn zone {zone} is too small for a zone and joined others: {parts}",
    "zones.given_more": "{count} more drawn zones were cut or joined in the same ways",
    "zones.impure": "zone {zone} is mixed: only {percent:.0f} % of its ground has values like the zone's own"
    "; walk it before you rely on its figures",
    "zones.patches": "zone {zone} lies in {patches} separate patches; fewer zones in a block, or a larger "
    "smallest zone, would join them",
    "zones.unsure": "the edges of the zones in block {block} are unsure: leaving out or doubling parts of "
    "it moves much of them; allow it fewer zones, or add a layer",
}
