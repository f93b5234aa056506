"""From the runs of a sample to its verdict and the statement that stands."""
