"""Pages on models of one binder: creep recovery, master curve, damage, traffic."""
