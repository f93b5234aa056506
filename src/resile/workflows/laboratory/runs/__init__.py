"""Runs as they are looked at: pictures, rows of the file, comparisons."""
