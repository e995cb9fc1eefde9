"""Ratings of a unit in sentences and tables."""
