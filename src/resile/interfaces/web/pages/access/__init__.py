"""Pages on people and what they may do: accounts, sign-in, roles, tokens, looks."""
