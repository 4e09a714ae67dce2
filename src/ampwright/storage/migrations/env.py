"""How alembic reaches the database: by the connection it is handed."""

from alembic import context

from ampwright.storage.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
