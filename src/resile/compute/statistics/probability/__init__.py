"""Probability that limits hold: one, and a whole grade."""
