"""Every figure of a plan, and of a farm's plan, as plan.json and farm.json hold it. Writes no file."""
