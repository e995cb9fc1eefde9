"""A house from its bills: tables, sentences, scenario file."""
