"""Doors to the outside: parse, one workflow, show."""
