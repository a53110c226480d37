"""The combine's points, cleaned: which of them tell something, and what they yielded.

tracks      points -> passes of the combine
along       what a pass needs: windows, clock, places
lag         how far the flow lags behind the place, from passes driven `opposite` ways side by side
yields      flow, swath, moisture -> yield at the standard moisture
cleaning    which points tell nothing; knows no strips, so it is blind to the treatment
rules       its rules, in their order
neighbours  the rule of a point and its own pass
coverage    the rule of ground that was cut before
"""
