"""Time of spectra and conversions in a batch, on one core.

    python -m benchmarks.spectra

Sweeps are of invented binders (seeded): seven isotherms of thirty-one frequencies, moduli over seven decades.
"""

import time

import numpy as np

from resile.compute.rheology.master_curve.forms.shapes import (
    christensen_anderson_modulus,
    christensen_anderson_phase,
)
from resile.compute.rheology.master_curve.spectra.interconversion import (
    relaxation_from_retardation,
    retardation_from_relaxation,
)
from resile.compute.rheology.master_curve.spectra.spectrum import fit_relaxation_spectrum

COUNT = 1_000
POINTS = 217


def main() -> None:
    noise = np.random.default_rng(4)
    frequency = np.logspace(-5, 5, POINTS)
    columns = []
    for _ in range(COUNT):
        curve = {
            "crossover_frequency_rad_s": 10.0 ** noise.uniform(-2, 4),
            "rheological_index": noise.uniform(1.2, 3.0),
        }
        modulus = christensen_anderson_modulus(frequency, glassy_modulus=1e6, **curve)
        phase = christensen_anderson_phase(frequency, **curve)
        columns.append(
            (
                modulus * np.exp(0.02 * noise.standard_normal(POINTS)),
                phase + 0.5 * noise.standard_normal(POINTS),
            )
        )
    fit_relaxation_spectrum(frequency, *columns[0], draws=1)  # what is imported once is not counted
    begin = time.perf_counter()
    spectra = [fit_relaxation_spectrum(frequency, *column, draws=0) for column in columns]
    fitted = time.perf_counter()
    creep = [retardation_from_relaxation(one.modes) for one in spectra]
    turned = time.perf_counter()
    for one in creep:
        relaxation_from_retardation(one)
    back = time.perf_counter()
    for column in columns[:100]:
        fit_relaxation_spectrum(frequency, *column)
    drawn = time.perf_counter()
    print(
        f"{COUNT} spectra of {POINTS} points: {fitted - begin:.1f} s, "
        f"{1e3 * (fitted - begin) / COUNT:.1f} ms each"
    )
    print(
        f"to creep: {1e3 * (turned - fitted) / COUNT:.2f} ms each; and back: "
        f"{1e3 * (back - turned) / COUNT:.2f} ms"
    )
    print(f"with the interval (200 draws): {1e3 * (drawn - back) / 100:.0f} ms each")


if __name__ == "__main__":
    main()
