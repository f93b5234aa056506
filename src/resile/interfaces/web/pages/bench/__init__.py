"""Pages at the bench: what to test next, ageing, readings, instruments, labels, retention."""
