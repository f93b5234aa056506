"""Pages on the record as a whole: first page, audit, recomputing, long work, settings."""
