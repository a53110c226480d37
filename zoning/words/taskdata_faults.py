"""Sentences about TASKDATA folders of ISO 11783-10: what is wrong with one, and how to mend it."""

_EXPORT = "Export the field again with other software, or mend the line."

# Name of the rule: what is wrong, and what to do about it.
FAULTS: dict[str, tuple[str, str]] = {
    "iso_no_xml": ("files of cells without {wanted}", "Copy the whole folder, with {wanted}."),
    "iso_not_xml": ("line {line}: this is no whole XML ({why})", "Copy or export the file anew."),
    "iso_own_entities": (
        "line {line}: the file defines names of its own (DOCTYPE), by which it could reach other files",
        "Do not load it; export the field again.",
    ),
    "iso_too_much": (
        "more than {elements} elements, or more than {depth} inside each other",
        "Export fewer fields at once.",
    ),
    "iso_other_root": (
        "begins with {tag}, not with {wanted}",
        "This is some other XML; name the right file.",
    ),
    "iso_file_name": (
        "the file is called {name}",
        "Call it {wanted}, in capitals: some terminals look for no other.",
    ),
    "iso_folder_name": (
        "the folder is called {name}",
        "Put the files into a folder {wanted} at the top of the stick.",
    ),
    "iso_version_three": (
        "version 3: its rules for polygons differ, and we know only those of version 4",
        "Export version 4 if your terminal reads it.",
    ),
    "iso_from_machine": (
        "the file says that a machine wrote it",
        "Set DataTransferOrigin to 1: a prescription comes from farm software.",
    ),
    "iso_unknown_element": (
        "line {line}: we do not know the element {tag}",
        "Look whether it is spelled right.",
    ),
    "iso_misplaced": ("line {line}: {tag} does not belong into {inside}", _EXPORT),
    "iso_missing": ("line {line}: {tag} has no {name} ({called})", "Give it; the standard wants one."),
    "iso_unknown_attribute": (
        "line {line}: we do not know {name} of {tag}",
        "Look whether it is spelled right, in one capital letter.",
    ),
    "iso_bad_id": (
        'line {line}: {name} of {tag} ({called}) is "{text}"',
        "Write letters and number, 4 to 14 characters, as {example}.",
    ),
    "iso_long_text": (
        "line {line}: {name} of {tag} ({called}) has {length} characters",
        "Shorten it to {limit}; a terminal cuts or refuses the rest.",
    ),
    "iso_bad_whole": (
        'line {line}: {name} of {tag} ({called}) is "{text}"',
        "Write a whole number from {low} to {high}.",
    ),
    "iso_bad_decimal": (
        'line {line}: {name} of {tag} ({called}) is "{text}"',
        "Write a decimal number from {low} to {high}, without an exponent.",
    ),
    "iso_many_decimals": (
        'line {line}: {name} of {tag} ({called}) is "{text}"',
        "Round it to {limit} digits behind the point.",
    ),
    "iso_bad_hex": (
        'line {line}: {name} of {tag} ({called}) is "{text}"',
        "Write four hexadecimal digits, as 0001.",
    ),
    "iso_bad_file_name": (
        'line {line}: {name} of {tag} ({called}) is "{text}"',
        "Write three letters and five digits without an ending, as {example}.",
    ),
    "iso_scaled": (
        'line {line}: {name} of {tag} ({called}) is "{text}": multiplied and cut to a whole number',
        "Write degrees with a decimal point.",
    ),
    "iso_id_twice": ("line {line}: the id {id} stands {count} times", "Number the elements anew."),
    "iso_dangling": (
        'line {line}: {name} of {tag} ({called}) points at "{text}", which is not in the file',
        "Export the file whole, or take the reference out.",
    ),
    "iso_id_of_terminal": (
        "line {line}: the id {id} is negative, as terminals number what they made themselves",
        "Use positive numbers in farm software.",
    ),
    "iso_nameless": ("line {line}: {tag} ({called}) has no name", "Give one: the operator chooses by it."),
    "iso_no_task": ("there is no task", "Export a task, not only the fields."),
    "iso_no_link": (
        "line {line}: task {task} names no {called}",
        "Give it: some terminals hide a task without customer and farm, or ask for the field.",
    ),
    "iso_not_planned": ("line {line}: task {task} is {status}", "Set its status to 1, planned."),
    "iso_no_zones": ("line {line}: task {task} has no zones, so no rate", "Export it with its rates."),
    "iso_code_twice": (
        "line {line}: task {task} has the zone code {zone} {count} times",
        "Give every zone a code of its own.",
    ),
    "iso_no_default": (
        "line {line}: task {task} does not say what to apply {place} ({name})",
        "Name a zone for it, best one with the rate 0.",
    ),
    "iso_no_such_zone": (
        "line {line}: task {task} names zone {zone} {place} ({name}), and has no such zone",
        "Add the zone or name another.",
    ),
    "iso_rate_outside": (
        "line {line}: task {task} applies zone {zone} outside the field",
        "Name a zone with the rate 0, if the boom shall be off there.",
    ),
    "iso_zone_without_rate": ("line {line}: zone {zone} has no rate", "Give it one; 0 for boom off."),
    "iso_entry_actual": (
        "line {line}: {entry} is what was applied, not what shall be",
        "Use 0001, the volume to apply by area.",
    ),
    "iso_entry_bounds": (
        "line {line}: {entry} is a default, least or greatest rate, not the one to apply",
        "Use 0001, the volume to apply by area.",
    ),
    "iso_entry_mass": (
        "line {line}: {entry} is a weight by area, as of fertilizer",
        "Use 0001, the volume to apply by area.",
    ),
    "iso_entry_count": (
        "line {line}: {entry} is a count by area, as of seeds",
        "Use 0001, the volume to apply by area.",
    ),
    "iso_entry_other": (
        "line {line}: {entry} is no rate of a sprayer that we know",
        "Use 0001, the volume to apply by area.",
    ),
    "iso_negative": ("line {line}: the rate {value} is below 0", "Write 0 for boom off."),
    "iso_rate_times_100": (
        "line {line}: the value {value} is {l_ha:.2f} L/ha to a terminal; {meant_l_ha:.1f} L/ha seems meant",
        "Write 10,000 times the L/ha: steps of 0.01 mm3/m2, not hundredths of L/ha.",
    ),
    "iso_rate_not_scaled": (
        "line {line}: the value {value} is {l_ha:.4f} L/ha to a terminal; a plain rate seems meant",
        "Write 10,000 times the L/ha; 20 gal/ac is 1870791.",
    ),
    "iso_rate_unlikely": (
        "line {line}: the value {value} is {l_ha:.2f} L/ha to a terminal: no usual volume of spray mix",
        "Write 10,000 times the L/ha; 20 gal/ac is 1870791.",
    ),
    "iso_unit_unknown": (
        'line {line}: presentation {id} has the unit "{unit}", which we cannot compare',
        "Look at the rate on the terminal before you spray.",
    ),
    "iso_shown_otherwise": (
        "line {line}: presentation {id} shows {shown:.4g} {unit} where {true:.4g} {unit} are applied",
        "Mend its scale and offset: 0.0001 for L/ha, 0.000010691 for gal/ac, offset 0.",
    ),
    "iso_polygon_type": (
        "line {line}: a polygon of type {kind} in {inside}",
        "Write type {wanted}: 1 is a field's boundary, 2 a treatment zone.",
    ),
    "iso_no_boundary": (
        "line {line}: field {field} has no boundary (PLN of type 1)",
        "Give one: terminals know by it where the field ends.",
    ),
    "iso_ring_type": ("line {line}: a ring of type {kind}", "Write 1 for an outer ring, 2 for a hole."),
    "iso_exteriors": (
        "line {line}: a polygon with {count} outer rings",
        "Write one outer ring in each polygon, as version 4 wants.",
    ),
    "iso_point_type": (
        "line {line}: a corner with the type {kind}",
        "Write type 2: others are flags and gates.",
    ),
    "iso_area": (
        "line {line}: the field's area is told as {told_m2} m2, its boundary holds {true_m2:.0f} m2",
        "Write square metres, a whole number.",
    ),
    "iso_other_field": (
        "line {line}: the boundary of {field} is not that of the field around this folder",
        "Look whether this is the right file for this field.",
    ),
    "iso_no_place": (
        "line {line}: task {task} has rates, but neither polygons nor a grid",
        "Export the map with it; else one rate goes over the whole field.",
    ),
    "iso_grid_and_polygons": (
        "line {line}: task {task} has a grid and polygons",
        "Export one of them: terminals differ in which they follow.",
    ),
    "iso_several_grids": ("line {line}: task {task} has {count} grids", "Export one grid for each task."),
    "iso_grid_no_file": ("line {line}: the file of cells {file} is not there", "Copy the whole folder."),
    "iso_grid_file_name": (
        "line {line}: the file of cells is called {found}",
        "Call it {wanted}, in capitals: some terminals look for no other.",
    ),
    "iso_grid_unused": ("{file} belongs to no task", "Look whether a task is missing; else delete it."),
    "iso_grid_no_zone": (
        "line {line}: the cells of {file} hold rates, but J names no zone that says of what",
        "Name a zone with the entry 0001 in J.",
    ),
    "iso_grid_size": (
        "line {line}: {file} has {size} bytes; {rows} rows of {columns} cells of {each} bytes need {wanted}",
        "Copy or export the folder anew.",
    ),
    "iso_grid_length": (
        "line {line}: {file} is told to have {told} bytes and has {size}",
        "Copy or export the folder anew.",
    ),
    "iso_grid_code": (
        "line {line}: {count} cells of {file} have the code {zone}, and there is no such zone",
        "Add the zone, with the rate 0 if nothing is sprayed there.",
    ),
    "iso_cell_negative": ("line {line}: {count} cells of {file} are below 0", "Write 0 for boom off."),
    "iso_cell_times_100": (
        "line {line}: {count} cells of {file} have the value {value}, which is {l_ha:.2f} L/ha to a terminal",
        "Write 10,000 times the L/ha: steps of 0.01 mm3/m2, not hundredths of L/ha.",
    ),
    "iso_cell_not_scaled": (
        "line {line}: {count} cells of {file} have the value {value}, which is {l_ha:.4f} L/ha to a terminal",
        "Write 10,000 times the L/ha; 20 gal/ac is 1870791.",
    ),
    "iso_cell_unlikely": (
        "line {line}: {count} cells of {file} have the value {value}: {l_ha:.2f} L/ha is no usual volume",
        "Write 10,000 times the L/ha; 20 gal/ac is 1870791.",
    ),
    "iso_cell_size": (
        "line {line}: cells of {file} are {east_m:.2f} m by {north_m:.2f} m",
        "Make them about as wide as a boom section.",
    ),
    "iso_cell_not_square": (
        "line {line}: cells of {file} are {east_m:.1f} m to the east by {north_m:.1f} m to the north",
        "Look whether the degrees to the east are divided by the cosine of the latitude.",
    ),
    "iso_grid_off_field": (
        "line {line}: {file} begins at {north:.5f} north, {east:.5f} east and does not touch the field",
        "Write the south-western corner, north in A and east in B.",
    ),
    "iso_grid_short": (
        "line {line}: {share:.0%} of the field lies beside the cells of {file}",
        "Make the grid as large as the field; the zone by default goes there.",
    ),
    "iso_upside_down": (
        "line {line}: the rows of {file} are upside down: {beside} sprayed cells lie outside the field, "
        "turned round {turned}",
        "Write the southernmost row first.",
    ),
    "iso_upside_down_on_map": (
        "line {line}: the rows of {file} are upside down: {share:.0%} of its cells have another rate than "
        "in the GeoPackage of the pass, turned round {turned:.0%}",
        "Write the southernmost row first.",
    ),
    "iso_other_map": (
        "line {line}: {share:.0%} of the cells of {file} have another rate than the GeoPackage of the pass",
        "Make both again, from the same run.",
    ),
    "iso_polygon_area": (
        "line {line}: the polygon's area is told as {told_m2} m2, it holds {true_m2:.0f} m2",
        "Write square metres, or leave the area out.",
    ),
    "iso_sprayed_beside": (
        "line {line}: {beside} of {sprayed} sprayed cells of {file} lie outside the field",
        "Write the code of the zone with the rate 0 there.",
    ),
}
