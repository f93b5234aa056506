"""Value against limit, with the reason. Comparison and the stated rounding only."""
