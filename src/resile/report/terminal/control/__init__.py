"""Sheets of production under control."""
