"""Tables of production: a lot a row, with its day and what was found."""
