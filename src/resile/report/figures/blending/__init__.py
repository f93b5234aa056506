"""Pictures of blends: ternary, dose, cost against probability, margins, and how the fits meet the trials."""
