"""Pages of what an archive answers."""
