"""The record itself: opened, looked through, verified, backed up, moved; what waits; the invented one."""
