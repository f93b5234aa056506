"""Pages on runs: seen, compared, corrected."""
