"""What a binder would show at temperatures it was not tested at."""
