"""Fifty people at work on a record of many years: fill it, serve it, and measure what they wait for."""
