"""Models of one binder as sheets in the terminal."""
