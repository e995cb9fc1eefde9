"""An uncertainty run in words, tables and files."""
