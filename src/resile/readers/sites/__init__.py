"""Tables of sites: one row a road, with its place, climate, depth, traffic and reliability."""
