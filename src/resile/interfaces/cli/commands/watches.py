"""The commands of the group ``watch``, imported in the order of its help: as the job goes."""

# ruff: noqa: I001  (the order is that of the help)
from resile.interfaces.cli.commands.charts import chart
from resile.interfaces.cli.commands.production import watch_capability
from resile.interfaces.cli.commands.months import watch_month
from resile.interfaces.cli.commands.watch import watch

__all__ = ["chart", "watch", "watch_capability", "watch_month"]
