"""Everything about one packing: cores, layers, quantities, time, cost and findings, and what made them."""
