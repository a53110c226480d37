"""Sentences about rows that scouts wrote down: file and line, what is wrong, how to mend it."""

SENTENCES: dict[str, str] = {
    "inputs.scouting_date": "{where}: the date {shown} cannot be read; write it as 2026-07-06",
    "inputs.scouting_undated": (
        '{where}: "{said}" without a date is not used, as nobody knows how old it is; add it, as 2026-07-06'
    ),
    "inputs.scouting_place": (
        "{where}: {column} {shown} is no place; write decimal degrees, as 44.305 and -95.38"
    ),
    "inputs.scouting_wide": (
        "{where}: the row has {cells} cells, the header {columns}, so it is not known which is of which; put "
        "text that holds a comma in quotes, and write decimals with a point"
    ),
    "inputs.scouting_later": "{where}: {on} lies after {today} and is not used; correct the date",
    "inputs.scouting_outside": (
        "{where}: the point lies {far} outside the boundary and is not used; check lat and lon"
    ),
    "inputs.scouting_nowhere": (
        "{where}: the point lies in no field, {far} from {field}, the nearest; check lat and lon"
    ),
    "inputs.scouting_unread": (
        "{where}: or it lies in {fields}, which cannot be read; mend that and add it again"
    ),
    "inputs.scouting_planting": (
        "{where}: {on} is before the planting there on {planted} and is not used; correct the date"
    ),
    "inputs.scouting_earlier": "rows of {file} from an earlier season are not used: {rows}",
    "inputs.scouting_pressure": '{where}: pressure "{text}" is not known; use {classes}',
    "inputs.scouting_severity": (
        '{where}: severity_pct "{text}" is no share of the leaf area; write percent, 0 to 100'
    ),
    "inputs.scouting_twice": "{where}: the row says the same as {first} and counts once; delete one of them",
    "inputs.scouting_more": "further rows of {file} with a fault of such a kind: {rows}; mend the first ones",
    "inputs.count_text": (
        '{where}: "{text}" names a stage in words that are not understood; write "R3" alone, "R3 4/20" or '
        '"r2=12 r3=8"'
    ),
    "inputs.count_two_forms": (
        "{where}: the row holds plants by stage and also k of n plants; keep one of them"
    ),
    "inputs.count_whole": (
        '{where}: {column} "{text}" is no number of plants; write a whole number that is not negative'
    ),
    "inputs.count_most": (
        "{where}: {column} is {plants} plants, more than {most:.0f} in one count; correct it, or "
        "divide it by places"
    ),
    "inputs.count_none": "{where}: no plant was counted; write how many stood at each stage",
    "inputs.count_sum_above": (
        "{where}: the plants by stage add up to {counted}, more than n, {n}; correct one of them"
    ),
    "inputs.count_sum_below": (
        "{where}: the plants by stage add up to {counted}, fewer than n, {n}; correct one, or leave v empty"
    ),
    "inputs.count_no_stage": "{where}: k is given without a stage; write which one, as R3",
    "inputs.count_no_n": "{where}: {k} plants, but n is missing; write of how many",
    "inputs.count_k_above_n": ("{where}: {k} of {n} plants cannot be at {stage} or past it; correct k or n"),
    "inputs.count_at_or_past": (
        "{where}: plants at {stage} or past it tell too little; count those at R1 to R5 or past it"
    ),
    "inputs.count_stage": '{where}: stage "{text}" is not known; write R1 to R8, or V and a number',
    "inputs.count_two_pods": "{where}: the pod is given in mm and in inches; keep one of them",
    "inputs.count_pod": (
        '{where}: {column} "{text}" is no length of a pod, 0 to {most:.0f} mm; correct it or its unit'
    ),
    "inputs.count_node": (
        '{where}: node "{text}" is no position from the top; write 1 for the uppermost node with a fully '
        "developed leaf"
    ),
    "inputs.count_low_note": (
        "{where}: a pod at node {node} makes no {stage}, only one at the {top} uppermost nodes does; "
        "taken as R2, look at the top nodes"
    ),
    "inputs.count_low_plants": (
        "{where}: pods at node {node} make no R3 or R4, only those at the {top} uppermost nodes do; {plants} "
        "plants taken as R2, look at the top nodes"
    ),
    "inputs.count_low_share": (
        "{where}: pods at node {node} make no {stage}, only those at the {top} uppermost nodes do; not used, "
        "count again at the top nodes"
    ),
    "inputs.count_low_seeds": (
        "{where}: seeds at node {node} do not tell the stage, only those at the {top} uppermost nodes do; "
        "not used, look at the top nodes"
    ),
    "inputs.count_low_pod": (
        "{where}: a pod at node {node} says nothing of the stage, only one at the {top} uppermost nodes "
        "does; not used, measure there"
    ),
    "inputs.count_plot": (
        "{where}: within {m:.0f} m of {kept} on the same day, {on}; the larger one, or one of two alike, "
        "stays: {kept}"
    ),
    "inputs.count_no_count": "{where}: the row holds no count and is not used; write how many stood where",
    "inputs.count_group": '{where}: maturity_group "{text}" is no group; write it as 2.4, 000 as -2',
    "inputs.count_no_planting": (
        "{where}: none of the plantings asked for is {wanted}; correct the row, or ask for that planting too"
    ),
    "inputs.count_any_planting": (
        "{where}: the count may belong to {count} of the plantings asked for; say which one in a column "
        "planted, maturity_group, or both"
    ),
    "inputs.count_observers": (
        "{where}: {observer} and {other} both counted on {on}, perhaps the same plants; the larger count, "
        "or one of two alike, stays: {kept}"
    ),
}
