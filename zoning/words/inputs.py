"""Sentences about what is doubtful about the input files."""

SENTENCES: dict[str, str] = {
    "inputs.boundary_mended": (
        "{file} is no clean outline ({fault} near {place}) and was mended: {before_ac:.2f} ac as drawn, "
        "{after_ac:.2f} ac now; look at it on the map"
    ),
    "inputs.planting_mended": "row {row} of {file} crosses itself and was mended",
    "inputs.planting_gap": (
        "{ac:.2f} ac of the field are in no polygon of {file} and went to the block beside them"
    ),
    "inputs.planting_overlap": (
        "polygons of {file} overlap on {ac:.2f} ac; the first in the file has that ground"
    ),
    "inputs.zones_mended": "row {row} of {file} crosses itself and was mended",
    "inputs.zones_gap": "{area} of the field are in no zone of {file} and went to the zone beside them",
    "inputs.zones_overlap": "zones of {file} overlap on {area}; the first in the file has that ground",
    "inputs.zones_not_drawn": (
        '{area} of the field are in no zone of {file}; they are a zone of their own, called "not drawn"'
    ),
    "inputs.zones_outside": "zone {zone} of {file} lies outside the field and is not used",
    "inputs.zones_covered": (
        "zone {zone} of {file} has no ground left: others lie over it, or hardly any of it is in the field"
    ),
    "inputs.zones_more": "{count} more zones of {file} lie outside the field or have no ground left",
    "inputs.zones_partly_named": (
        "the column {column} of {file} is empty in some rows, so the zones are called by their row; fill it "
        "to have them called by it"
    ),
    "inputs.zones_by_row": (
        "{columns} of {file} could both be the names of its zones, so they are called by their row; say "
        "which with zone_column"
    ),
    "inputs.planting_far": (
        "{percent:.1f} % of the field lies more than {m:.0f} m from any record of {file}; the nearest "
        "record is taken there"
    ),
    "inputs.planting_slips": (
        "{ac:.2f} ac of {file} are slips narrower than half a boom, sown apart from what lies around them; "
        "they are counted with it"
    ),
    "inputs.mixed_days": (
        "block {block} is mixed: passes of {days} lie between one another, about {width} wide, narrower than "
        "the boom; its day, {planted:%b} {planted.day}, is that of the middle record"
    ),
    "inputs.mixed_varieties": (
        "block {block} is mixed: {names} lie in strips about {width} wide, narrower than the boom; its "
        "maturity group, {group:.2f}, is their mean by area"
    ),
    "inputs.emerged_later": "the emergence of block {block} on {emerged} lies after today and is not used",
    "inputs.image_later": "{file} was taken on {day}, after {today}, and is not used",
    "inputs.image_before": (
        "{file} was taken on {day}, before the field was planted: it does not show this crop"
    ),
    "inputs.image_cloudy": "{file} shows only {percent:.0f} % of the field clear and is left out of {name}",
    "inputs.images_together": "{name} is the {how} of {count} dates in each cell that they show: {days}",
    "inputs.image_moved": "{file} lay {m:.1f} m off {reference} and was moved back onto it",
    "inputs.image_far_off": "{file} lies {m:.0f} m off {reference}, too far to be moved, and is left out",
    "inputs.image_offset_applied": (
        "the offset had been taken off {file} already, as {percent:.0f} % of the field would be below 0 or "
        "red would be too dark with it; it was not taken off again"
    ),
    "inputs.image_offset_guessed": (
        "nothing says whether the counts of {file} hold the offset of 1000, as those since January 2022 do; "
        "it was taken off: give baseline"
    ),
    "inputs.image_offset_missing": (
        "red over the canopy of {file} is {red:.2f}, too bright; it would be {other:.2f} with the offset of "
        "-1000 that counts of Sentinel-2 since January 2022 have: check product, baseline or offset"
    ),
    "inputs.image_red_doubtful": (
        "red over the canopy of {file} is {red:.3f}, which no canopy reflects: check product and baseline"
    ),
    "inputs.image_bare": (
        "{percent:.0f} % of the field is bare or under water in {file}: too early for zones by the canopy; "
        "nothing was left out"
    ),
    "inputs.no_spray_outside": "the {kind} of {file} does not reach into the field",
    "inputs.no_spray_cuts_off": (
        "parts of blocks that setbacks cut off, each below the smallest zone of {least}: {count}, {area} "
        "together; they get what the rest of their zone gets, or are a zone of their own"
    ),
    "inputs.dead_small": (
        "{area} of the dead ground of {file} lies in patches that are each below the smallest zone of "
        "{least}: they are sprayed through"
    ),
    "inputs.dead_seen": (
        "{area} is bare or under water in {file} of {day}: it counts as dead and gets no pass; if it does "
        "grow, let it count as crop (setting: bare_is_dead = false in [zones])"
    ),
    "inputs.layer_no_canopy": "{name} leaves out {areas}",
    "inputs.image_tagged": "{file} carries its own scale and offset; they were used",
    "inputs.image_negative": (
        "{percent:.0f} % of the pixels of {file} have a reflectance below 0: its offset may have been "
        "applied twice, or its nodata value is not in the file"
    ),
    "inputs.index_negative": (
        "{name} from {file} is below 0 on most of the field, as over water: check the numbers in bands"
    ),
    "inputs.layer_placeholder": (
        "{percent:.0f} % of {file} hold {value}, which stands for no data though the file does not say so; "
        "they are left out: set it as the file's nodata value"
    ),
    "inputs.yield_impossible": (
        "{percent:.0f} % of the field have a yield in {file} that cannot be, below 0 or far too high; these "
        "cells are left out"
    ),
    "inputs.layer_mostly_empty": "{file} shows only {percent:.0f} % of the field and is not used",
    "inputs.layer_partly_empty": "{file} does not show {percent:.0f} % of the field",
    "inputs.layer_coarse": (
        "{file} is not used: one of its pixels, {m:,.0f} m wide, is larger than the field, so it tells no "
        "parts of it apart"
    ),
    "inputs.image_no_day": (
        "the name of {file} begins with {text}, which is no date, so its day is not known, nor whether it "
        "shows this crop: correct the name, or set date in [[imagery]]"
    ),
    "inputs.layer_constant": "{name} in {file} is the same everywhere and tells no zones apart",
    "inputs.terrain_steep": (
        "half of the field is steeper than {percent:.0f} % by {file}, which few fields are: are its heights "
        "in feet, or in centimetres? (settings: unit, scale)"
    ),
    "inputs.terrain_cut": (
        "{file} shows only {percent:.0f} % of the ground within {m:.0f} m of the field: water from the rest "
        "is not in the wetness"
    ),
    "inputs.column_twice": "columns twice in {file}: {names}; the first counts",
    "inputs.weather_later": "rows of {file} after {today} were ignored: {rows}",
    "inputs.weather_refused": "impossible values of {file} were left out: {count}, the first {first}",
    "inputs.weather_twice": "days twice in {file}: {count}, the first {first}; the first row counts",
    "inputs.weather_ends": "the weather in {file} ends on {last}: the days since are taken from other years",
    "inputs.hourly_later": "hours of {file} after {today} were ignored: {hours}",
    "inputs.hourly_twice": (
        "times twice in {file}: {count}, the first {first:%Y-%m-%d %H:%M}; the first row counts"
    ),
    "inputs.hourly_averaged": (
        "hours of {file} with several rows were averaged, their rain was added: {hours}"
    ),
    "inputs.hourly_skipped": (
        "rows of {file} at hours that the farm's clock skips are not used: {rows}, the first "
        "{first:%Y-%m-%d %H:%M}; if the station keeps one time all year, write its zone behind each time, as "
        "2026-07-06T05:00-06:00"
    ),
    "inputs.hourly_gap": (
        "{unknown:,} of {whole:,} hours of this season are not known in {file}, most in a row {longest:,} on "
        "{day}; they count as unknown, not as dry or calm"
    ),
    "inputs.hourly_step": (
        "{unknown} of {step} hours are not known in {file}: it holds one value for {step} hours, and hours "
        "between them do not count as spray hours; give hourly values"
    ),
    "inputs.hourly_forecast_over": "{file} holds no hour to come: it ends on {last}; give a newer one",
    "inputs.hourly_none": "{file} has no hour since {first}, so it says nothing of this season",
    "inputs.hourly_ends": "the hourly weather in {file} ends on {last}: what came after is not known",
    "inputs.guidance_far": "lines of {file} more than {m:.0f} m from the field are not used: {count}",
    "inputs.guidance_short": (
        "lines of {file} shorter than {m:.0f} m give no direction and are not used: {count}"
    ),
    "inputs.guidance_some_curved": "curved lines of {file} are not used, only the straight ones: {count}",
    "inputs.guidance_curved": (
        "the lines of {file} are curved, the longest strays {m:.0f} m from the straight way between its "
        "ends: swaths are taken straight along that way, {deg:.0f} degrees, and where they lie is not known"
    ),
    "inputs.guidance_not_as_given": (
        "the heading given is {given:g} degrees (setting: heading_deg), but the lines of {file} run at "
        "{deg:.1f}: the lines are followed, "
        "as the machine does"
    ),
    "inputs.strips_of_other_season": (
        "the check strips of {file} are those of {theirs}, not of {season}, and are not used: lay new ones "
        "with --new-strips"
    ),
    "inputs.strips_laid_already": (
        "no check strips are to be laid (setting: pairs = 0 in [check_strips]), but those that are laid "
        "stay: {count} pairs of {file} are used; delete the file to have none"
    ),
    "inputs.strips_of_other_boom": (
        "the check strips of {file} are {width_ft:.0f} ft ({width_m:.1f} m) wide, and no boom here is: it "
        "cannot keep to their edges; lay new ones with --new-strips"
    ),
    "inputs.strips_of_other_heading": (
        "the check strips of {file} lie along {laid:.1f} degrees, and the field is driven along "
        "{driven:.1f}: the boom cannot keep to their edges; lay new ones with --new-strips"
    ),
    "inputs.strips_beside_swaths": (
        "the check strips of {file} lie up to {m:.1f} m beside the swaths of your guidance lines: the boom "
        "cannot keep to their edges; lay new ones with --new-strips"
    ),
    "inputs.strips_without_crop": (
        "check strips of {file} lie on no crop any more, so these pairs are left out: {pairs}; lay new ones "
        "with --new-strips"
    ),
}
