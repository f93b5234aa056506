"""Modulus and phase angle from oscillation, and what is checked on them."""
