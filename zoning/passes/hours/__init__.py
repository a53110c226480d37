"""When a sprayer may go: which hours are spray hours, and how many of them to plan with.

sun, wet_bulb   what the rules need to know of sun and air
limits, rules   what an hour is held against, and which hours are out for what
counts          hours of each half-day, and how many each rule takes
triple, past    hours where no hourly weather is known, and those of past years
ahead           the hours of the days to come, to plan with and in every weather future
used            what a sprayer has used of today's
in_time         in how many futures each visit is over in time
"""
