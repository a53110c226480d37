"""Where strips lie and what was sprayed; `trial_ground` puts it together of these.

recorded      passes of the season, and what the sprayer's own files say of them
laid          strips by the design of the season
drawn_strips  strips that somebody drew
gaps          strips that the sprayer's file shows as gaps
by_done       what was sprayed where no machine's file says it
"""
