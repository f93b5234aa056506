"""What a careful practitioner would write with pandas and NumPy, kept honest and tuned: the yardstick.

It knows the one layout of its records by heart, reads with the fast parser of pandas, finds the cycles from
the stress, interpolates at the nominal times, averages ten cycles, checks what a good laboratory checks and
writes one JSON file for the folder. It does not recognise other layouts, account for refused rows or hash its
sources.

    python pandas_script.py FOLDER OUTPUT.json
"""

import json
import sys
from pathlib import Path

import numpy as np
import pandas as pd

CREEP, RECOVERY, EVALUATED = 1.0, 9.0, 10


def read(path: Path) -> pd.DataFrame:
    frame = pd.read_csv(path, dtype=float)
    frame.columns = ["time", "stress", "strain", "temperature"]
    frame["strain"] /= 100.0
    return frame


def cycles_of(frame: pd.DataFrame) -> pd.DataFrame:
    time, stress, strain = (frame[name].to_numpy() for name in ("time", "stress", "strain"))
    loaded = stress > 0.05
    first = np.flatnonzero(np.diff(loaded.astype(np.int8), prepend=0) == 1)
    start = np.round(time[first] / (CREEP + RECOVERY)) * (CREEP + RECOVERY)
    initial = np.interp(start, time, strain, left=0.0)
    creep = np.interp(start + CREEP, time, strain)
    recovered = np.interp(start + CREEP + RECOVERY, time, strain)
    level = np.where(stress[first] > 1.0, 3.2, 0.1)
    table = pd.DataFrame(
        {
            "stress": level,
            "initial": initial,
            "creep": creep,
            "recovered": recovered,
            "measured": stress[first],
        }
    )
    table["recovery"] = 100.0 * (table["creep"] - table["recovered"]) / (table["creep"] - table["initial"])
    table["jnr"] = (table["recovered"] - table["initial"]) / table["stress"]
    table["number"] = table.groupby("stress").cumcount() + 1
    return table


def checks(frame: pd.DataFrame, used: pd.DataFrame) -> list[str]:
    found = []
    if (used.groupby("stress").size() < EVALUATED).any():
        found.append("too few cycles")
    if ((used["measured"] / used["stress"] - 1.0).abs() > 0.02).any():
        found.append("stress off nominal")
    temperature = frame["temperature"]
    if ((temperature - round(temperature.mean())).abs() > 0.1).any():
        found.append("temperature off")
    if frame["time"].diff().max() > 0.45:
        found.append("sampling too coarse")
    high = used.loc[used["stress"] == 3.2, "jnr"].to_numpy()
    if np.polyfit(np.arange(len(high)), high, 1)[0] * len(high) > 0.1 * high.mean():
        found.append("Jnr rises")
    return found


def reduce(path: Path) -> dict:
    frame = read(path)
    used = cycles_of(frame).groupby("stress").tail(EVALUATED)
    summary = used.groupby("stress")[["recovery", "jnr"]].agg(["mean", "std"])
    low, high = summary.loc[0.1], summary.loc[3.2]
    return {
        "file": path.name,
        "temperature": frame["temperature"].mean(),
        "levels": {str(stress): row.to_dict() for stress, row in summary["jnr"].iterrows()},
        "recovery": {str(stress): row.to_dict() for stress, row in summary["recovery"].iterrows()},
        "cycles": used.to_dict("records"),
        "jnr_difference": 100.0 * (high["jnr", "mean"] - low["jnr", "mean"]) / low["jnr", "mean"],
        "recovery_difference": 100.0
        * (low["recovery", "mean"] - high["recovery", "mean"])
        / low["recovery", "mean"],
        "checks": checks(frame, used),
    }


if __name__ == "__main__":
    folder, output = Path(sys.argv[1]), Path(sys.argv[2])
    output.write_text(json.dumps([reduce(path) for path in sorted(folder.glob("*.csv"))]))
