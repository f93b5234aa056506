"""From a grade, or none, to the tests that prove it."""
