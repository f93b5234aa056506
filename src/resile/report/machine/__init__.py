"""Records as plain dictionaries for machines: the fixed JSON interfaces, in full precision."""
