"""Statistics: precision, uncertainty, replicates."""
