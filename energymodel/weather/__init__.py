"""Hourly outdoor conditions: files, shipped years, stations, bins and degree-days."""
