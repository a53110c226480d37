"""One schedule for all fields: zones into visits, visits onto sprayers, half-days and volumes.

visits, zone_sets   what a visit to some zones is worth, and which sets of zones are asked for
patterns, columns   over which half-days a visit runs, and every visit that may be in a plan
kinds               sprayers that are alike, and what must be planned together
model               the rows that a plan must keep; whole_visits adds some that say that visits are whole
greedy, solve       a plan and a bound; still keeps the solver's own lines off the output
dealing             fields dealt out over sprayers that are alike
settled             ties, half-days and the exact value of what was taken
farm                all of it: `schedule` for a farm, `alone` for one field
hour_worth          what an extra sprayer or faster filling would add; skipped says why a zone is in no visit
"""
