"""Pictures of control charts."""
