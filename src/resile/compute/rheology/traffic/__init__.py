"""Permanent shear strain of binders under trains of load pulses."""
