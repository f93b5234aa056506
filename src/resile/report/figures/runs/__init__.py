"""Pictures of runs for a screen: the whole run to move about in, cycle by cycle, several runs overlaid."""
