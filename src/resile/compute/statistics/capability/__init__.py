"""How far a product stays within its limits: indices, share outside, where to aim, what margin costs."""
