"""Copies of a record: backups, exports in open forms, and replaying a log."""
