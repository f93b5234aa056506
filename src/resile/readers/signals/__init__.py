"""From a table of columns to the signals of a test: units, geometry, running time, runs."""
