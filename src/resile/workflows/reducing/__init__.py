"""From record files to runs, with findings."""
