"""Tariffs: what energy costs under the prices that really apply, bill by bill."""
