"""Pictures of what an archive answers."""
