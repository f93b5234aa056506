"""Work at the bench: heatings, ageing, plans, questions, and the instruments."""
