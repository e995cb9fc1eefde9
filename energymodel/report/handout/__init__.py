"""The customer's two pages: their numbers, their sentences, their typesetting."""
