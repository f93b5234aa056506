"""Chart specifications from records: no computing, no file names."""
