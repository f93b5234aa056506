"""Answers by published rules."""
