"""Words and findings for studies, rounds, checks, own precision, components and disputes."""
