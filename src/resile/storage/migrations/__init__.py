"""Changes to the tables of the record, one module each."""
