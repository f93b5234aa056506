"""Pages on the control of production."""
