"""Blend books: components, trial blends, their results, and what the blend is for."""
