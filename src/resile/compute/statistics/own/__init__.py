"""What a laboratory finds out about its own doubt: duplicates, check materials, rounds.

`pooled_deviation` for duplicates, `deviation_interval` for how well it is known, `level_correlation` for
whether the scatter goes with the value, `mean_bias` for the bias from several sources, `tolerance_zone` for
checks with a certified fluid, `variance_ratio_limits` for comparing the own precision with a published one.
"""
