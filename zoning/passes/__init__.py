"""How: which hours can be sprayed, which zones go into which pass, what goes into the tank, where to walk.

problem, half_days   what the schedule is asked and answers, and spray hours as values
division             how many zones of a block the passes need
label, treated       what the label allows, and what was sprayed already
swaths, driven       what the boom drives over
hours                which hours are spray hours
schedule             one schedule for all fields of a farm
loads                the load sheet of a pass
entering, walk       when somebody may walk in, and where a count is worth it
what_if              a field judged again under other prices, costs and rules, on the planned days
"""
