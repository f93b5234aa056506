"""Properties of blends: mixing rules, surfaces fitted to trial blends, and the design of recipes."""
