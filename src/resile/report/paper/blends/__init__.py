"""Recipes, and the batch sheet."""
