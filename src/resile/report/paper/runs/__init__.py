"""Runs and how their files were read."""
