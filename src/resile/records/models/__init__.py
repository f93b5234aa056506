"""What was found about the material behind a test: models, curves, spectra."""
