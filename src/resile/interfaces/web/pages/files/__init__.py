"""Pages on files that go into the record."""
