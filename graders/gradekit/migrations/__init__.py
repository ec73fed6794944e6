"""Steps from each form of the register to the next, for alembic."""

from pathlib import Path

HEAD = "0002"


def _is_chained(connection):
    from sqlalchemy import inspect

    return "digest" in {column["name"] for column in inspect(connection).get_columns("evidence")}


def migrate(connection):
    """Bring the register behind an open writing connection to the newest form.

    A file of the first version has the table but no note of its form: it is taken as 0001. All of
    it happens in the connection's one transaction: a killed process leaves the old form.
    """
    from sqlalchemy import inspect

    tables = set(inspect(connection).get_table_names())
    if "alembic_version" in tables:
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
        if found == HEAD:
            return
        if found is not None and not "0000" < str(found) < HEAD:
            raise ValueError(
                f"the register has the form “{found}”, which this version of the kit does not "
                "know: use the newer version that wrote it"
            )
    # Without this, a chained register whose note was taken out would be chained anew from
    # whatever stands in it.
    if "evidence" in tables and _is_chained(connection):
        raise ValueError(
            "the register is chained, and the note of its form was changed or is missing: keep the "
            "file as it is, set it aside, and restore a backup"
        )
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    if "alembic_version" not in tables and "evidence" in tables:
        command.stamp(config, "0001")
    command.upgrade(config, "head")
