"""Tables of lots: one row a lot or a result of it, in the order of time."""
