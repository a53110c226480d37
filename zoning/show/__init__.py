"""The page: the map and the table that people look at."""
