"""Recipes worked out on fitted surfaces: how sure they are, which is best, how far they may move."""
