"""Merely parse every file of a folder with one reader, and do nothing with the numbers.

python parse_only.py READER FOLDER      READER: pandas, polars or pyarrow
"""

import os
import sys
from pathlib import Path

os.environ.setdefault("POLARS_MAX_THREADS", "1")
reader, folder = sys.argv[1], Path(sys.argv[2])
if reader == "pandas":
    import pandas

    parse = pandas.read_csv
elif reader == "polars":
    import polars

    parse = polars.read_csv
else:
    import pyarrow.csv

    options = pyarrow.csv.ReadOptions(use_threads=False)

    def parse(path: Path) -> object:
        return pyarrow.csv.read_csv(path, read_options=options)


for path in sorted(folder.glob("*.csv")):
    parse(path)
