"""From the rows of frequency sweeps to a fitted curve and how good it is."""
