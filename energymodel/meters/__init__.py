"""Meter data of the household's other use: interval exports, Green Button files, monthly use."""
