"""Rheology of bitumen: creep and recovery, viscoelastic models."""
