"""Control of production in the terminal."""
