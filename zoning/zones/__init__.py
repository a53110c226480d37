"""Where: layers become management zones. Knows neither dates nor money."""
