"""Models of one binder: from records to what the binder is made of and what it would do."""
