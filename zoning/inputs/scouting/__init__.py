"""What scouts wrote down: read into sightings and counts, or added to the fields that hold it."""
