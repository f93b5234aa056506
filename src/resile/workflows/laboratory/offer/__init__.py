"""Roads, ranges of binders, matches, and the certificates of suppliers."""
