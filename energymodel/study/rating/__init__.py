"""Ratings of a unit and its way from the label to a site."""
