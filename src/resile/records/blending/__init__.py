"""What is blended, what was tried, and the recipe that comes of it."""
