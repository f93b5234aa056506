"""Pages on statements: graded, issued, traced."""
