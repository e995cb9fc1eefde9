"""The house from its meters: load, base use, normal years, checks."""
