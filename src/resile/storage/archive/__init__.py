"""An archive: a folder of columnar files (Parquet) that thousands of records were reduced and judged into.

`schema` names its tables and columns, `parquet` reads and writes them.
"""
