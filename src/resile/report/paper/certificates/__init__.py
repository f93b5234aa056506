"""A supplier's certificate, line by line."""
