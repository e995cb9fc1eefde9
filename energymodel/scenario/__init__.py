"""Scenario files: records, reading, writing, and building the model from them."""
