"""The nonlinear reference problems of NIST StRD: files read, models written out as the files print them."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).resolve().parents[2] / "data" / "nist_nonlinear"
PI = np.pi
Values = NDArray[np.float64]


def _gauss(b, x):
    return (
        b[0] * np.exp(-b[1] * x)
        + b[2] * np.exp(-((x - b[3]) ** 2) / b[4] ** 2)
        + b[5] * np.exp(-((x - b[6]) ** 2) / b[7] ** 2)
    )


def _lanczos(b, x):
    return b[0] * np.exp(-b[1] * x) + b[2] * np.exp(-b[3] * x) + b[4] * np.exp(-b[5] * x)


def _chwirut(b, x):
    return np.exp(-b[0] * x) / (b[1] + b[2] * x)


def _cubics(b, x):
    return (b[0] + b[1] * x + b[2] * x**2 + b[3] * x**3) / (1 + b[4] * x + b[5] * x**2 + b[6] * x**3)


def _enso(b, x):
    year = 2 * PI * x / 12
    second, third = 2 * PI * x / b[3], 2 * PI * x / b[6]
    return (
        b[0]
        + b[1] * np.cos(year)
        + b[2] * np.sin(year)
        + b[4] * np.cos(second)
        + b[5] * np.sin(second)
        + b[7] * np.cos(third)
        + b[8] * np.sin(third)
    )


MODELS: dict[str, Callable[..., Values]] = {
    "Bennett5": lambda b, x: b[0] * (b[1] + x) ** (-1 / b[2]),
    "BoxBOD": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "Chwirut1": _chwirut,
    "Chwirut2": _chwirut,
    "DanWood": lambda b, x: b[0] * x ** b[1],
    "ENSO": _enso,
    "Eckerle4": lambda b, x: b[0] / b[1] * np.exp(-0.5 * ((x - b[2]) / b[1]) ** 2),
    "Gauss1": _gauss,
    "Gauss2": _gauss,
    "Gauss3": _gauss,
    "Hahn1": _cubics,
    "Kirby2": lambda b, x: (b[0] + b[1] * x + b[2] * x**2) / (1 + b[3] * x + b[4] * x**2),
    "Lanczos1": _lanczos,
    "Lanczos2": _lanczos,
    "Lanczos3": _lanczos,
    "MGH09": lambda b, x: b[0] * (x**2 + x * b[1]) / (x**2 + x * b[2] + b[3]),
    "MGH10": lambda b, x: b[0] * np.exp(b[1] / (x + b[2])),
    "MGH17": lambda b, x: b[0] + b[1] * np.exp(-x * b[3]) + b[2] * np.exp(-x * b[4]),
    "Misra1a": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "Misra1b": lambda b, x: b[0] * (1 - (1 + b[1] * x / 2) ** (-2)),
    "Misra1c": lambda b, x: b[0] * (1 - (1 + 2 * b[1] * x) ** (-0.5)),
    "Misra1d": lambda b, x: b[0] * b[1] * x * ((1 + b[1] * x) ** (-1)),
    "Nelson": lambda b, x: b[0] - b[1] * x[0] * np.exp(-b[2] * x[1]),
    "Rat42": lambda b, x: b[0] / (1 + np.exp(b[1] - b[2] * x)),
    "Rat43": lambda b, x: b[0] / ((1 + np.exp(b[1] - b[2] * x)) ** (1 / b[3])),
    "Roszman1": lambda b, x: b[0] - b[1] * x - np.arctan(b[2] / (x - b[3])) / PI,
    "Thurber": _cubics,
}


@dataclass(frozen=True)
class Problem:
    name: str
    starts: tuple[Values, Values]
    values: Values
    standards: Values
    residual_sum: float
    residual_standard: float
    response: Values
    predictors: Values

    def residuals(self, b: Values) -> Values:
        return MODELS[self.name](b, self.predictors) - self.response

    def jacobian(self, b: Values) -> Values:
        """Derivatives by a complex step, exact to the last digit."""
        columns = []
        for place in range(b.size):
            moved = b.astype(complex)
            size = 1e-30 * max(abs(b[place]), 1.0)
            moved[place] += 1j * size
            columns.append(MODELS[self.name](moved, self.predictors).imag / size)
        return np.stack(columns, axis=1)


def read_problem(name: str) -> Problem:
    lines = (FOLDER / f"{name}.dat").read_text(encoding="ascii").splitlines()
    first, last = map(int, re.findall(r"\d+", next(line for line in lines if "Starting Values" in line))[:2])
    rows = [[float(word) for word in line.split("=")[1].split()] for line in lines[first - 1 : last]]
    table = np.array(rows)
    begin, end = map(
        int, re.findall(r"\d+", next(line for line in lines if "Data  " in line and "lines" in line))
    )
    data = np.array([[float(word) for word in line.split()] for line in lines[begin - 1 : end]])
    response, predictors = data[:, 0], data[:, 1] if data.shape[1] == 2 else data[:, 1:].T
    certified = [float(line.split(":")[1]) for line in lines if re.match(r"Residual S", line)]
    return Problem(
        name,
        (table[:, 0], table[:, 1]),
        table[:, 2],
        table[:, 3],
        certified[0],
        certified[1],
        np.log(response) if name == "Nelson" else response,
        predictors,
    )
