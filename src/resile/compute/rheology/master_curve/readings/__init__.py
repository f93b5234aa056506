"""Numbers that people read from a master curve."""
