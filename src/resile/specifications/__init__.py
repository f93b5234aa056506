"""Limits, methods, finding rules and precision statements as TOML, and the code that checks them."""
