"""Sentences about the schedule of a farm: its calendar, its passes, what it is worth, what was left out."""

SENTENCES: dict[str, str] = {
    # the calendar
    "schedule.key_pass": "number: a pass of that field, AM on the left of its day, PM on the right",
    "schedule.key_sprayers": "letter behind it: its sprayer, {sprayers}",
    "schedule.key_sprayed": "{sprayed} sprayed already, on that day",
    "schedule.key_both": "{both} R3, and the return is near its best",
    "schedule.key_near": "{near} the return is near its best before or after R3",
    "schedule.key_window": "{window} R3, from its likely day to the day on which it closes",
    "schedule.key_before": "{before} over by then",
    "schedule.key_after": "{after} comes later",
    "schedule.key_no_date": "{none} no date is known",
    "schedule.key_more": "{more} more passes than there is room for, see the list",
    "schedule.hours_of": "spray hours a day, {sprayer}",
    "schedule.key_hours": "used, of: spray hours in the plan, and those to plan on; from: {sources}",
    # the passes
    "schedule.no_pass": "no pass is planned on this farm",
    "schedule.in_time": "over by {by} with a chance of {chance}",
    "schedule.in_time_years": "over by {by} with the weather of {years}",
    "schedule.due_years": (
        "few past years are known: in time counts those whose weather lets the pass be over by then"
    ),
    "schedule.due": (
        "due: last day on which every zone of the pass still returns nearly what it can; in time: chance "
        "that the weather lets the pass be over by then"
    ),
    "schedule.least_in_time": "least sure to be in time: {field}, pass {number}: {in_time}",
    "schedule.after_due": "planned to end after its due day: {passes}",
    # what was left out
    "schedule.left_out": "left out, though by itself it would pay:",
    "schedule.had_theirs": "sprayed already:",
    "schedule.left_out_zone": "{field}, {zones} ({area}): {why}",
    # the farm and the money
    "schedule.headline": "spray {spray} of {area}{visits}, expected net {net}{most}",
    "schedule.headline_most": "; most of these {unit} do not pay for a pass",
    "schedule.headline_skip": "skip {rest} {area}: no pass is worth it{done}",
    "schedule.headline_no_hours": (
        "skip {rest} {area}: {left} {unit} would pay by themselves, but no pass there would be done in "
        "time{done}"
    ),
    "schedule.headline_left_out": "; {left} {unit} that would pay by themselves are left out",
    "schedule.headline_done": "; {done} {unit} were sprayed already",
    "schedule.no_field": "no field could be planned",
    "schedule.kept": "{out}: the plan of {day} stays there; only failures.csv is new",
    "schedule.headline_dates": "{zones} zones on {area}; zones and dates only",
    "schedule.money": "expected net of the plan {net} on {area}, visit costs of {visits} taken off",
    "schedule.exact": (
        "within {gap} of the best possible schedule: after min_net, and with wheel tracks in full for every "
        "pass, this one is worth {value} and none is worth more than {bound}"
    ),
    "schedule.best": (
        "no other schedule brings more, after min_net and with wheel tracks in full for every pass"
    ),
    "schedule.best_dollar": (
        "no other schedule brings a dollar more, after min_net and with wheel tracks in full for every pass"
    ),
    "schedule.some_sets": (
        "; of a field with many zones not every set of zones is weighed, so one with another set may bring "
        "more"
    ),
    "schedule.stopped": "the search stopped at its limit of {nodes} nodes before it came within {limit}",
    "schedule.dealt_out": (
        "so large a farm is dealt out over its sprayers before the search, which did not come within {limit}"
    ),
    "schedule.greedy": (
        "a greedy schedule: the search found none within {nodes} nodes, so passes were taken one after the "
        "other, the best first; it may lie {gap} below the best possible"
    ),
    # hours and machines
    "schedule.more_sprayers": "{count} more sprayers are less busy: their hours stand in farm.json",
    "schedule.no_worth": "none of {count} changes of sprayers or filling would add anything",
    "schedule.more_worth": "none of {count} other changes of sprayers or filling would add more than {usd}",
    "schedule.tightest": (
        "the tightest half-day: one more spray hour of {sprayer} on {day} {half} would be worth {usd}"
    ),
    "schedule.hours_enough": "no half-day is short of spray hours: one more would be worth nothing",
    "schedule.hours_not_counted": (
        "what is left out below for its hours is not in the worth of an hour: no visit to it fits now, even "
        "one that runs on"
    ),
    "schedule.hours_used": "{sprayer}: {used} of {planned} spray hours in use up to {day}",
    "schedule.worth_sprayer": "a second sprayer like {sprayer} would add {gain}",
    "schedule.one_sprayer_a_field": (
        "a field belongs to one sprayer: a second one would not shorten a pass that is too long below"
    ),
    "schedule.worth_filling": "filling {sprayer} in half the time would add {gain}",
    "schedule.at_most": "{usd} at most",
    "schedule.worth_other": "{change}, {sprayer}: would add {gain}",
    # order and call
    "schedule.order_by": "order product for the first pass by {day}, {left}",
    "schedule.order_past": (
        "the last day to order product for the first pass was {day}: order now, and expect the pass to move "
        "to a later day"
    ),
    "schedule.call_by": "call the applicator for the first pass by {day}, {left}",
    "schedule.call_past": (
        "the last day to call the applicator for the first pass was {day}: call now, and expect the pass to "
        "move to a later day"
    ),
    # the picture
    "schedule.more_rigs": "{count} more sprayers are less busy and not drawn; schedule.csv has their passes",
    "schedule.more_rows": "{count} more rows, all without a pass, are not drawn; farm.csv has every field",
    "schedule.more_rows_some": (
        "{count} more rows are not drawn; farm.csv has every field, schedule.csv every pass"
    ),
}

SOURCES: dict[str, str] = {
    "forecast": "forecast",
    "past years": "past years",
    "planning triple": "planning figure",
    "no limit": "no limit given",
}
