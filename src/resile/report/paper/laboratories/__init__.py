"""Sheets about laboratories: study, robust means, scores, dispute, components, own precision, checks."""
