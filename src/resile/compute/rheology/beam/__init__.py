"""Stiffness and slope from the bending beam."""
