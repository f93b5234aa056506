"""Pages on samples and whose they are."""
