"""A year of hours, states or bins through the equipment, and its result."""
