"""Thousands of variants of a scenario, in pieces, on one process or a cluster."""
