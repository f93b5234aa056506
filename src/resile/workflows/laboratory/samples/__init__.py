"""What comes in: receiving, custody, numbers, labels, retention, and the story of a sample."""
