"""One module a family of pages; each has ``routes``."""
