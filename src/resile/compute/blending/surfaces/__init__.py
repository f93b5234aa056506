"""A property over the shares of the components, fitted to trial blends."""
