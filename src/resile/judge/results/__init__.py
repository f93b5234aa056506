"""From determinations to results: repeats, precision, uncertainty."""
