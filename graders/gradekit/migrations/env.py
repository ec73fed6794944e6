"""What alembic runs; the connection and its transaction are the register's own."""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
