"""Speed of trains of load pulses at three sizes: ``python -m benchmarks.traffic_pulses``.

The same train is followed pulse by pulse for the smallest size, to show what blocks are worth.
"""

import time

import numpy as np

from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.compute.rheology.traffic.pulse_train import accumulate_strain

MODEL = BurgersModel(
    1.4,
    25.0,
    tuple(KelvinElement(1.5 * 2.0**k, 1.5 * 2.0**k * t) for k, t in enumerate((0.01, 0.1, 1.0, 10.0, 100.0))),
)
PULSES = 500


def pulse_by_pulse(factor: np.ndarray) -> float:
    """Follow every pulse of blocks as a loop would."""
    state, flow = np.zeros(len(MODEL.kelvin_elements)), 0.0
    spring = np.array([e.spring_kpa for e in MODEL.kelvin_elements])
    times = np.array([e.retardation_time_s for e in MODEL.kelvin_elements])
    for a in factor:
        load, rest, idle = (
            np.exp(-0.02 / (a * times)),
            np.exp(-1.0 / (a * times)),
            np.exp(-10.0 / (a * times)),
        )
        for _ in range(PULSES):
            state = (state * load + 3.2 / spring * (1.0 - load)) * rest
        state = state * idle
        flow += PULSES * 3.2 * 0.02 / (a * MODEL.maxwell_dashpot_kpa_s)
    return float(state.sum() + flow)


def main() -> None:
    """Print time and ratio."""
    for blocks in (1_000, 20_000, 400_000):
        factor = np.exp(np.sin(np.arange(blocks)))
        begin = time.perf_counter()
        left = accumulate_strain(
            MODEL,
            stress_kpa=3.2,
            pulse_s=0.02,
            rest_s=1.0,
            pulses=np.full(blocks, PULSES),
            factor=factor,
            idle_s=10.0,
        ).left
        took = time.perf_counter() - begin
        words = f"{blocks:7d} blocks, {blocks * PULSES:11d} pulses, 5 elements: {1000 * took:8.1f} ms"
        if blocks == 1_000:
            begin = time.perf_counter()
            loop = pulse_by_pulse(factor)
            ratio = (time.perf_counter() - begin) / took
            words += f"; pulse by pulse {ratio:.0f} times as long, {abs(loop / left - 1.0):.1e} apart"
        print(words)


if __name__ == "__main__":
    main()
