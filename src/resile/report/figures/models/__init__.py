"""Pictures of models of one binder."""
