"""What a password costs whoever steals the record and guesses."""

import subprocess
import sys

HASHED = """
from resile.workflows.laboratory.access.passwords import password_secret
print(password_secret("four words in a row", account="ada"))
"""


def test_a_secret_costs_what_rfc_9106_recommends_where_memory_is_constrained() -> None:
    """RFC 9106, section 4, second option: Argon2id, 3 passes, 4 lanes, 64 MiB; in a process of its own,
    since the tests hash at a lower cost."""
    told = subprocess.run([sys.executable, "-c", HASHED], capture_output=True, text=True, check=True).stdout
    assert told.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
