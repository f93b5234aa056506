"""Quick tests that stand in for a slow one: fit per product, error with a lot left out, reach."""
