"""How: which zones share a visit, on which day, at which carrier volume."""
