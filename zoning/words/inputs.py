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
    "inputs.image_tagged": "{file} carries its own scale and offset; they were used",
    "inputs.image_negative": (
        "{percent:.0f} % of the pixels of {file} have a reflectance below 0: its offset may have been "
        "applied twice, or its nodata value is not in the file"
    ),
    "inputs.index_negative": (
        "{name} from {file} is below 0 on most of the field, as over water: check the numbers in bands"
    ),
    "inputs.layer_mostly_empty": "{file} shows only {percent:.0f} % of the field and is not used",
    "inputs.layer_partly_empty": "{file} does not show {percent:.0f} % of the field",
    "inputs.layer_constant": "{name} in {file} is the same everywhere and tells no zones apart",
    "inputs.weather_later": "rows of {file} after {today} were ignored: {rows}",
    "inputs.weather_refused": "impossible values of {file} were left out: {count}, the first {first}",
    "inputs.weather_twice": "days twice in {file}: {count}, the first {first}; the first row counts",
    "inputs.weather_ends": "the weather in {file} ends on {last}: the days since are taken from other years",
}
