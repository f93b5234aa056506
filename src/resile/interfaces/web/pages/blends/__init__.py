"""Pages on blend books: kept and typed, tried, designed with."""
