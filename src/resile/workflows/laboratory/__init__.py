"""Tasks on the laboratory's record: each takes the record, who asks (`Actor`) and the time."""
