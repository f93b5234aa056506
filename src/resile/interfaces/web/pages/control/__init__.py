"""Pages on production under control: charts, products, sampling, loads delivered, months."""
