"""Between the rooms and the plan: a field's priced options, and the plan once the passes are chosen."""
