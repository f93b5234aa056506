"""What a statement is made of."""
