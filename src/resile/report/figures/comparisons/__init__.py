"""Pictures of the laboratory beside others and itself: scores, own precision, its contributions."""
