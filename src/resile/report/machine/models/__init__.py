"""Models of one binder as plain data for machines."""
