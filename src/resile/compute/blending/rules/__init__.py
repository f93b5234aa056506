"""Mixing rules by name, reclaimed binder, recycling agents, polymer and hot storage."""
