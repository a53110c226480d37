"""Whether: the yield response as draws, the costs that are still avoidable, the chance that a pass pays."""
