"""From a blend book to recipes, what they keep, and the next trial."""
