"""Heating and cooling loads against outdoor temperature."""
