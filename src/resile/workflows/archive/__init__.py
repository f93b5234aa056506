"""An archive of many records: made by a batch, asked, judged again."""
