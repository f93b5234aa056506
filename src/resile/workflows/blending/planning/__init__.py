"""A season of grades, a batch, a tank to bring back."""
