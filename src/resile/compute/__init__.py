"""Equations: numpy arrays in, one frozen record out. Nothing here reads, writes, logs or knows a limit."""
