"""Laboratories beside one another: studies, robust means, scores, disputes, components, own precision,
checks.
"""
