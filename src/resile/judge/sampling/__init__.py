"""Sampling plans: lots from loads, severity with its reasons, what is due."""
