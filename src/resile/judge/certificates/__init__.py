"""A supplier's certificate against the specification in force."""
