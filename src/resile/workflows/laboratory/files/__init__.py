"""Record files: read, kept with the runs they give, read again when more is known."""
