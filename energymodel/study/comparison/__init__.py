"""The options of a scenario side by side over one year: cost, money, guards."""
