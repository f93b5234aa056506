"""Pages of models of one binder."""
