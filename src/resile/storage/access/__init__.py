"""Passwords, sessions and tokens: beside the log, so that none of it is kept for good."""
