"""Frequency sweeps joined to one curve: shifts with temperature, shapes over frequency, and their fit."""
