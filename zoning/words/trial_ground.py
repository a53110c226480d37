"""Sentences about where strips lie and what was really sprayed on them."""

SENTENCES: dict[str, str] = {
    "trial_ground.one_zone": (
        "there are no outlines of zones (applied/zones.gpkg or out/zones.gpkg), so the whole field is zone 1"
    ),
    "trial_ground.by_done": (
        "what was sprayed is taken from done.csv ({days}) and from how the strips were laid, for no file of "
        "a machine says it: untreated strips count as left dry"
    ),
    "trial_ground.by_map": (
        "treated strips in zones that were not sprayed count as sprayed where the map of the recorded pass "
        "has it so"
    ),
    "trial_ground.not_by_map": (
        "no row of done.csv names a pass of the plan, so treated strips count as sprayed only inside the "
        "zones that it names"
    ),
    "trial_ground.before_strips": (
        "the pass of {day} was made before the strips were laid on {laid}: it counts as sprayed on the "
        "strips as well"
    ),
    "trial_ground.by_drawn": (
        "what was sprayed is taken from {file}, by the word of whoever drew it; outside its strips nothing "
        "is known"
    ),
    "trial_ground.drawn_and_done": (
        "on its strips {file} says what was sprayed; elsewhere done.csv does ({days})"
    ),
    "trial_ground.rest_by_done": (
        "no machine's file says what the pass of {day} sprayed; done.csv and the design of the strips do"
    ),
    "trial_ground.file_over_done": (
        "done.csv says that zone {zone} was sprayed on {day}; the machine's file treats {percent:.0f} % of "
        "it, and the file counts: give one that holds all passes, if this one does not"
    ),
    "trial_ground.other_product": "the pass of {day} with {product} does not count: it is not {ours}",
    "trial_ground.not_named": (
        "{file} is not used: no row of done.csv names it as the file of a pass with {product}"
    ),
    "trial_ground.rate_unit": (
        "the column {column} of {file} does not name its unit and was read in {unit}, the farm's"
    ),
    "trial_ground.no_day": (
        "done.csv has no pass that {file} belongs to, so the day of spraying is not known"
    ),
    "trial_ground.of_gaps": (
        "no design says where strips lie: {gaps} in {file}, as wide as the boom with sprayed ground on both "
        "sides, are taken for untreated strips. The sprayed swath beside each is its partner: the one that "
        "is sprayed on more of its length, by turns where both are. No lots were drawn for them: if a strip "
        "was left dry for a reason, the difference holds that reason as well"
    ),
    "trial_ground.drawn_outside": "strip {number} of {file} lies outside the field and is not used",
    "trial_ground.drawn_widths": (
        "the strips of {file} are {narrow} to {wide} wide; each counts with its own width"
    ),
    "trial_ground.drawn_apart": (
        "the strips of pair {pair} in {file} lie {apart} from each other: soil may change between them"
    ),
    "trial_ground.header_wider": (
        "the header ({header}) is wider than the strips ({strip}): no full pass of the combine lies inside "
        "one, and none can count"
    ),
    "trial_ground.no_sprayer": (
        "farm.toml has no sprayer, so only the combine's own blur is taken off where the treatment changes"
    ),
    "trial_ground.pair_alone": "pair {pair} has no {treatment} strip",
    "trial_ground.pair_sprayed": "both strips of pair {pair} were sprayed",
    "trial_ground.pair_dry": "neither strip of pair {pair} was sprayed",
    "trial_ground.pair_no_points": (
        "no point of the combine counts on pair {pair}: of those that are kept on its strips most are out "
        "because of {reason}"
    ),
    "trial_ground.pair_empty": "the combine left no usable point on pair {pair}",
    "trial_ground.pair_short": (
        "the strips of pair {pair} have only {m:.0f} m in common that count; {least:.0f} m are needed"
    ),
    "trial_ground.pair_header": "the header is wider than the strips of pair {pair}",
    "trial_ground.swapped": (
        "the strips of pair {pair} were swapped: the one that was laid dry was sprayed, the other was not; "
        "they count by what was sprayed"
    ),
    "trial_ground.cut_apart": (
        "the two strips of a pair were cut on different days or by different combines, in pairs {pairs}: "
        "what a combine is off by, and what dries or falls meanwhile, stands in their difference"
    ),
    "trial_ground.pair_cut_apart": (
        "each treated strip was cut by another combine, or on another day, than the untreated one, always in "
        "the same order: what that does cannot be told from what was sprayed"
    ),
    "trial_ground.laid_dry": (
        "the untreated strip of pair {pair} was sprayed on {percent:.0f} % of its ground; only where one "
        "strip of the pair was sprayed and the other was not does it count"
    ),
    "trial_ground.laid_treated": (
        "the treated strip of pair {pair} was sprayed on {percent:.0f} % of its ground; only where one strip "
        "of the pair was sprayed and the other was not does it count"
    ),
    "trial_ground.why_off_centre": "the header not lying whole on the middle of a strip",
    "trial_ground.why_strip_end": "the end of the strip being near",
    "trial_ground.why_change": "a change of treatment under the header or near by",
    "trial_ground.why_headland": "the headland",
    "trial_ground.why_no_zone": "lying in no zone",
    "trial_ground.why_across": "the combine crossing the strip instead of driving along it",
    "trial_ground.why_no_partner": "the other strip having no point with the other treatment beside them",
}
