"""Viscosity over temperature, penetration and softening point."""
