"""Report what advisories say of the pinned versions, by pip-audit; say so where they cannot be asked."""

from __future__ import annotations

import json
import subprocess
import tempfile
import urllib.error
import urllib.request
import venv
from pathlib import Path

LOCKS = ("requirements.lock", "requirements-dev.lock")
SERVICE = "https://api.osv.dev/"


def main() -> None:
    """Audit each lock in an environment of its own, so that nothing is added to the one under test."""
    if not reachable():
        print(f"dependency audit: NOT DONE, the advisory service ({SERVICE}) does not answer from here")
        return
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder) / "bin" / "python"
        made = run(python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "pip-audit")
        if made.returncode:
            print("dependency audit: NOT DONE, pip-audit cannot be installed here")
            return
        for lock in LOCKS:
            words = (
                "--require-hashes",
                "--disable-pip",
                "--progress-spinner",
                "off",
                "-s",
                "osv",
                "-f",
                "json",
            )
            print(f"dependency audit of {lock}: {told(run(python, '-m', 'pip_audit', *words, '-r', lock))}")


def told(done: subprocess.CompletedProcess[str]) -> str:
    """Give what was found; what was skipped was not audited, and is never told as clean."""
    try:
        found = json.loads(done.stdout)["dependencies"]
    except (ValueError, KeyError):
        return f"NOT DONE ({(done.stderr.strip().splitlines() or ['no answer'])[-1]})"
    asked = [one for one in found if "skip_reason" not in one]
    hit = [one for one in asked if one["vulns"]]
    lines = [f"{len(asked)} packages asked about, {len(found) - len(asked)} not, {len(hit)} with advisories"]
    for one in hit:
        for advisory in one["vulns"]:
            mended = ", ".join(advisory["fix_versions"]) or "no version yet"
            lines.append(f"  {one['name']} {one['version']}: {advisory['id']}, mended in {mended}")
    return "\n".join(lines)


def reachable() -> bool:
    """Tell whether the advisory service answers at all."""
    try:
        with urllib.request.urlopen(SERVICE, timeout=15):
            return True
    except urllib.error.HTTPError:
        return True  # it answered
    except OSError:
        return False


def run(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a command and give what it said; one that hangs counts as refused."""
    command = [str(word) for word in words]
    try:
        return subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    except subprocess.TimeoutExpired:
        return subprocess.CompletedProcess(command, 1, "", "no answer within 300 s")


if __name__ == "__main__":
    main()
