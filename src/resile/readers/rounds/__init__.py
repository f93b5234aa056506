"""Tables of interlaboratory studies and sheets of comparison rounds, however a laboratory typed them."""
