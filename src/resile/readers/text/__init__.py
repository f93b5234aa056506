"""Separated text: encodings, separators, and the fast way through regular blocks."""
