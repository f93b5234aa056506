"""From weather and traffic to the grade a road needs."""
