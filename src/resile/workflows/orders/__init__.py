"""From a test order or a filled form to the document that is issued, signed and replaced."""
