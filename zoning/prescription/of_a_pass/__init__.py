"""What is written for each pass, in a folder of its own: shapefile set, README, zip, GeoJSON, GeoPackage."""
