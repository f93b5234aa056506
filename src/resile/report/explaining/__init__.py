"""Pictures and the page for people outside the laboratory."""
