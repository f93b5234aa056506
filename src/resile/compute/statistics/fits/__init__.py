"""Fits by least squares and what their residuals tell."""
