"""International seasonal ratings: ISO 16358."""
