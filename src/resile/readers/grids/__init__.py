"""Grids of cells: headings, units, numbers as printed, and the tables found among them."""
