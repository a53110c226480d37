"""When: planting, weather and latitude become the days on which R1 ... R7 begin, as draws."""
