"""Damage of a binder under a rising strain amplitude."""
