"""One function, one task a person has."""
