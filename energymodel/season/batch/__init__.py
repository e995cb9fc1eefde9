"""The same year for many variants of one option at once."""
