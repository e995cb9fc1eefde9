"""Money: prices, cost of heat, payback."""
