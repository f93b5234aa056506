"""From the rows of a creep and recovery record to its results."""
