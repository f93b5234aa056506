"""Ageing in the laboratory: what the masses of the bottles say."""
