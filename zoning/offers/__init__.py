"""Between the rooms and the plan: a field's priced options, and the plan once the passes are chosen.

In the order in which a field goes through:

its ground     joined (blocks that are alike), spots (which counts belong where), contrast, sightings
its zones      zoned, divided (how many a block gets), drawn
its options    learned (which of the farm's own trials count), basis, rigged (what would spray it), places
               (what moves each zone's response), pricing; offered holds them
its passes     judged, parts (fields that share no sprayer), choose, by_source
its plan       settle, with zone_money, whole_field, nearest_pass and bill; swaths_treated
what is said   moved, scouted, practised, cost_notes, notes; nearest and provenance serve them all
"""
