"""Parts of the reader of summary tables: which columns, which values, which rows."""
