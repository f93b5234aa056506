"""Control of production as plain data for machines."""
