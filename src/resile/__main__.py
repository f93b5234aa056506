"""Run the command line with ``python -m resile``."""

from resile.interfaces.cli import main

main()
