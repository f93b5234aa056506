"""The version of the package; every report names it."""

__version__ = "0.1.0"
