"""Verify the log of an exported record: python verify_log.py log.jsonl. Python alone, nothing to install."""

import hashlib
import json
import sys

COLUMNS = ("seq", "at", "by", "kind", "key", "revision", "reason", "body", "previous")
before, seq = "0" * 64, 0
with open(sys.argv[1], encoding="utf-8") as log:  # noqa: PTH123
    for seq, line in enumerate(log, start=1):
        entry = json.loads(line)
        fields = [entry[column] for column in COLUMNS]
        text = json.dumps(fields, ensure_ascii=False, separators=(",", ":"))
        if entry["seq"] != seq or entry["previous"] != before:
            sys.exit(f"entry {entry['seq']} does not follow the one before it")
        if hashlib.sha256(text.encode()).hexdigest() != entry["hash"]:
            sys.exit(f"entry {seq} was changed")
        before = entry["hash"]
print(f"{seq} entries, every hash follows; head {seq}:{before}")  # noqa: T201
