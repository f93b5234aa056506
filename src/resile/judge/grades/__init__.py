"""Value against limit, the classes a sample satisfies, and what to test next."""
