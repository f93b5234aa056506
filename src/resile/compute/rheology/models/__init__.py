"""Model binders, and records computed from them."""
