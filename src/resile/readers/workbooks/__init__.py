"""XLSX files, opened within bounds."""
