"""Control of production: results that are watched, charts, signals, changes and their likely causes."""
