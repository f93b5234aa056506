"""Keeping production under control: charts, capability, quick tests, sampling."""
