"""European seasonal ratings: EN 14825."""
