"""The laboratory beside itself and others, from its record: duplicates, checks, rounds, own precision."""
