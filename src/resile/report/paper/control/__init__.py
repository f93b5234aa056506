"""Pages of production under control."""
