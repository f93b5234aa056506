"""Claims of speed, measured: run ``python start.py bench``."""
