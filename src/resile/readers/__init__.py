"""Files to signals and results: the only place that guesses at columns, units and encodings."""
