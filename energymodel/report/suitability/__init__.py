"""A suitability study in words, tables and files."""
