"""How migrations run: on the connection that `resile.storage.migrating` gives."""

from alembic import context

from resile.storage import shelves  # noqa: F401 - its tables belong to the metadata
from resile.storage.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    transactional_ddl=False,  # the caller's transaction holds it all
)
context.run_migrations()
