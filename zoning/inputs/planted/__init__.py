"""What was sown where: planting polygons, or a planter's records, to blocks."""
