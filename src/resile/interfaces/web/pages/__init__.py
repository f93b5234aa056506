"""Pages by topic: each folder holds modules that each have ``routes``."""
