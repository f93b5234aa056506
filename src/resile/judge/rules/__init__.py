"""Rules beside the grade: heating, price, traffic, verification, ageing, signatures, revisions."""
