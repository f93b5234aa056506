"""Daily weather records: a date, a maximum and a minimum of air temperature a row."""
