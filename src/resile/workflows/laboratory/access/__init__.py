"""Who works with the record: people, roles, passwords, sessions, tokens."""
