"""The laboratory beside itself and others: overview, rounds, checks, materials, own precision."""
