"""The laboratory's record: a database that remembers what was received, measured, judged and said.

`laboratory_record` opens it, `book` writes to it, `reading` reads from it. The log (`tables.ENTRY`) is the
truth: append-only, each entry chained to the one before by its hash. The current tables (`shelves`) hold what
is searched and sorted by, and can be built again from the log.
"""
