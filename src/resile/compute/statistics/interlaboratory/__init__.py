"""Several laboratories on the same material: precision of a study, robust means, scores, trends.

`material_statistics` works out one material of a study by ISO 5725-2 and ASTM E691; `critical` holds the
critical values of h, k, Cochran and Grubbs by formula; `algorithm_a` gives the robust mean and standard
deviation of a round; `scores` the z, z', zeta and En scores and where they are heading.
"""
