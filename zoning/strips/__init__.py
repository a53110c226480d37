"""What we learned: the combine's points -> what treated strips yielded over untreated ones, and how surely.

tracks     points -> passes of the combine; `along` has what a pass needs
lag        how far the flow lags behind the place, from passes driven `opposite` ways side by side
yields     flow, swath, moisture -> yield at the standard moisture
cleaning   which points tell nothing; knows no strips, so it is blind to the treatment
rules      its rules, in their order; `neighbours` on a point's own pass, `coverage` of ground cut before
placed     points -> strips, zones and treatments, by what was sprayed
pairs      stretches side by side, in `pieces` -> one difference a pair; `why_not` says why one does not count
response   the pairs -> mean, interval, chance above break-even, and whether that can be told
by_zone    zone x pair -> responses of zones by a `mixed` model; `differ` tests whether they differ at all
spatial    how few points the many are worth
money      a response -> USD/ac
judged     the plan's decisions, by what came of them
believed   what was believed, what was seen, what is believed now
reliability  chances that were forecast against what came
told       all of it in words; `lessons` what to do better

Pure: opens no file, prints nothing, draws nothing.
"""
