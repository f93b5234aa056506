"""Relaxation spectra, and the way from relaxation to creep and back."""
