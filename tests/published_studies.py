"""Interlaboratory studies that were published, as tables."""

from resile.records.laboratories import StudyTable

# ASTM E691, glucose in serum, materials C and E [read: data of the R package ILS].
GLUCOSE = StudyTable(
    title="Glucose in serum",
    unit="mg/dl",
    laboratories=tuple(str(place) for place in range(1, 9)),
    materials=("C", "E"),
    results=(
        (
            (132.66, 133.83, 133.10),
            (132.92, 136.90, 136.40),
            (132.61, 135.80, 135.36),
            (138.50, 148.30, 135.69),
            (131.90, 134.14, 133.76),
            (137.21, 135.14, 137.50),
            (130.97, 131.59, 134.92),
            (135.46, 135.14, 133.53),
        ),
        (
            (292.78, 294.09, 292.89),
            (292.27, 309.40, 295.08),
            (295.53, 290.14, 292.34),
            (295.19, 295.44, 296.83),
            (293.93, 292.48, 294.28),
            (297.74, 296.80, 290.33),
            (287.29, 293.76, 289.36),
            (298.46, 295.28, 296.12),
        ),
    ),
)
# ISO 5725-5, creosote in tar: means of nine laboratories [read: R package metRology].
CREOSOTE = StudyTable(
    title="Creosote",
    unit="%",
    laboratories=tuple(str(place) for place in range(1, 10)),
    materials=("level 1",),
    results=(
        tuple((one,) for one in (24.140, 20.155, 19.500, 20.300, 20.705, 17.570, 20.100, 20.940, 21.185)),
    ),
)
