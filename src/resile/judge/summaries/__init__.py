"""Summaries checked against themselves, their peers and what a binder can show."""
