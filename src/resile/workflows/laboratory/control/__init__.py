"""Production under control: charts, sampling, loads delivered, and what a month brought."""
