"""What to do next with a book: the next trial, a tank to be rescued, a season of tanks."""
