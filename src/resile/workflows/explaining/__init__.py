"""A binder, or a binder's result, for people outside the laboratory: sentences, pictures, a page to send."""
