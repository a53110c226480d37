"""Images of the canopy and further layers, from their files onto the grid of a field."""
