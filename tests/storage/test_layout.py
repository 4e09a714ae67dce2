"""The layout of the tables: made by migrations, alike to what is declared, and brought up to date or refused."""

import sqlite3
from contextlib import closing

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from shops import shop_in

from ampwright.desk.cases import kept_jobs
from ampwright.errors import AmpwrightError, BadRecord
from ampwright.storage.database import MIGRATIONS, Database
from ampwright.storage.tables import HEAD, metadata


def test_the_migrations_make_the_tables_that_are_declared(tmp_path):
    database = Database(tmp_path / "shop.sqlite")
    with database.reading() as connection:
        options = {"compare_type": True, "compare_server_default": True}
        assert compare_metadata(MigrationContext.configure(connection, opts=options), metadata) == []
    database.close()


def test_the_number_of_the_layout_is_that_of_the_newest_migration():
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    assert ScriptDirectory.from_config(config).get_current_head() == HEAD


def test_a_database_of_a_newer_layout_is_refused_untouched(tmp_path):
    shop = shop_in(tmp_path)
    kept_jobs.new_job(shop)
    shop.close()
    path = tmp_path / "shop.sqlite"
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.execute("CREATE TABLE of_tomorrow (id INTEGER)")
    content = path.read_bytes()
    with pytest.raises(AmpwrightError, match="layout 9999"):
        shop_in(tmp_path)
    assert path.read_bytes() == content


def test_an_empty_database_is_brought_to_this_layout(tmp_path):
    path = tmp_path / "shop.sqlite"
    path.touch()
    shop = shop_in(tmp_path)
    assert kept_jobs.new_job(shop).number == "101"
    shop.close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchall() == [(HEAD,)]


def test_a_file_that_is_no_database_is_refused_untouched(tmp_path):
    path = tmp_path / "shop.sqlite"
    path.write_bytes(b"not a database" * 100)
    with pytest.raises(BadRecord, match="cannot be opened as a database"):
        shop_in(tmp_path)
    assert path.read_bytes() == b"not a database" * 100


def test_data_that_another_program_holds_are_said_to_be_held(shop):
    with closing(sqlite3.connect(shop.database.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        pooled = shop.database.engine.raw_connection()
        pooled.cursor().execute("PRAGMA busy_timeout = 50")  # nobody waits ten seconds in a test
        pooled.close()
        with pytest.raises(AmpwrightError, match=r"locked.*Nothing was changed"):
            kept_jobs.new_job(shop)


def test_a_database_of_the_first_layout_is_brought_to_this_one(tmp_path):
    path = tmp_path / "shop.sqlite"
    shop = shop_in(tmp_path)
    job = kept_jobs.new_job(shop, caller=kept_jobs.Caller("Ann Example"))
    shop.close()
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("ALTER TABLE jobs DROP COLUMN former_callers")
        connection.execute("UPDATE alembic_version SET version_num = '0001'")
    again = shop_in(tmp_path)
    assert kept_jobs.open_kept(again, job.number) == job
    kept_jobs.set_caller(again, job.number, kept_jobs.Caller("Anne Example"))
    # by hand
    assert kept_jobs.erasure_of(again, job.number).also_told == (kept_jobs.Caller("Ann Example"),)
    again.close()
