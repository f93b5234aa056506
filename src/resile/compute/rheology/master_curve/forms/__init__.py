"""Shapes over frequency and shifts over temperature, each by name, and the model binder made of them."""
