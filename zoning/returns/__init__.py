"""Whether: the yield response as draws, the costs that are still avoidable, the chance that a pass pays.

In the order in which a number comes about:

what a pass gains    sources, own (what the farm's strips said), then response (what is known of a place:
                     rain, favourable, outlook), as a mixture (with inverse); draws; curve (the stage at
                     spraying), factors (carrier, poor ground), tracks
what it costs        costs
what that returns    price (every option of every zone, in rounded draws); by_stage for counts, cells for
                     the number of zones
what is decided      rule, reasons
what else is asked   steps (where the number comes from), flips (what would turn it), delay, knowing, pairs;
                     turning serves them
without a field      worth, verdict
what is only said    remarks, hearsay

`terms` holds the values that go in and come out.
"""
