"""After harvest: the combine's points, and where what was sprayed. Decides and judges nothing.

given    what both give, as values
points   the combine's file, in any of its forms -> YieldPoints; begins with `read`
ground   strips, and what was really sprayed on them -> TrialGround; begins with `trial_ground`
"""
