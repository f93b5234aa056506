"""Blend books of the record: kept, typed, tried, designed with."""
