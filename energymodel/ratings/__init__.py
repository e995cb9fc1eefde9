"""Seasonal ratings: the label computed clause by clause, and the performance map behind it."""
