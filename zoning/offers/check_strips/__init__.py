"""Check strips of one field's plan: the ground of each, what the passes do there, and what that costs."""
