"""Which binder serves which demand: serving, the value of a test, and the smallest set of products."""
