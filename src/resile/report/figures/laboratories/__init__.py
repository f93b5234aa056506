"""Pictures of laboratories beside one another: consistency, scores, checks, disputes, components."""
