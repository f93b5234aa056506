"""resile: from raw rheometer and ageing records of bitumen to a grade that can be defended."""

__version__ = "0.1.0"
