"""Blends: limits of the aim, surfaces of the trials, recipes, next trials, rescued tanks, a portfolio."""
