"""What every map of polygons must hold, whatever the format: coordinates, rings, ground and rates."""
