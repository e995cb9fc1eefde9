"""A sweep in the terminal."""
