"""Ageing in the laboratory."""
