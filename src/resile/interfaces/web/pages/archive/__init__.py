"""Pages that ask the archive of the record."""
