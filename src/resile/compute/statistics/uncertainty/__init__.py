"""Uncertainty: budgets, propagation, draws, repeatability."""
