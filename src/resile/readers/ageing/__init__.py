"""Records of ageing, short-term and long-term."""
