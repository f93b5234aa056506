"""Demand of a site, choice of a binder, prediction and price."""
