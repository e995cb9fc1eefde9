"""Charts: the house style, the parts that charts share, and one module per chart."""
