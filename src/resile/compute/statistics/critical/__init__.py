"""Temperatures at which a property meets its limit."""
