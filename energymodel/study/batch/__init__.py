"""Yearly energy and cost of many variants of one option at once."""
