"""A comparison as tables, records and files."""
