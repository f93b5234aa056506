"""Signals of control charts, and causes that fit what was seen."""
