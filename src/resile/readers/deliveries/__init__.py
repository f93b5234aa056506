"""Tables of loads delivered, as a weighbridge or an office keeps them."""
