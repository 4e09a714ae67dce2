"""Commands of what a shop keeps, as a person would type them."""

import datetime
import json

import pytest
from command_runs import run

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import Caller
from ampwright.desk.cases.shop import open_shop, today


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A data folder of a test's own, with two jobs."""
    monkeypatch.setenv("AMPWRIGHT_DATA", str(tmp_path / "data"))
    shop = open_shop()
    kept_jobs.new_job(shop, caller=Caller("Ann [Example]", "01632 960555"), title="Twin [red]")
    kept_jobs.wait_for(shop, kept_jobs.new_job(shop).number, "a photo", today() - datetime.timedelta(1))
    shop.close()
    return tmp_path


def test_jobs_are_listed_found_and_waiting(folder):
    assert [line["number"] for line in json.loads(run("jobs", "--json").stdout)] == ["102", "101"]
    found = run("jobs", "ann", "twin").stdout
    assert "101  Twin [red]" in found
    assert "Ann [Example], 01632 960555" in found
    waiting = run("jobs", "--waiting").stdout
    assert "102" in waiting
    assert "overdue" in waiting
    assert "101" not in waiting
    assert run("jobs", "--waiting", "ann").stdout == "There is no waiting job in which 'ann' stands.\n"
    assert run("jobs", "nobody").stdout.startswith("There is no job in which 'nobody' stands. Try fewer words")


def test_a_backup_is_written_and_put_back(folder):
    saved = str(folder / "saved.sqlite")
    assert run("backup", saved).stdout.startswith(f"Backup written to {saved}.")
    again = run("backup", saved)
    assert (again.returncode, "is there already" in again.stderr) == (1, True)
    shop = open_shop()
    kept_jobs.delete_job(shop, "101")
    shop.close()
    aside = json.loads(run("restore", saved, "--json").stdout)["before"]
    assert "shop-before-" in aside
    assert "101" in run("jobs").stdout


def test_everything_is_exported(folder):
    target = folder / "all.zip"
    assert run("export", str(target)).returncode == 0
    assert target.read_bytes().startswith(b"PK")
    assert run("export", str(target)).returncode == 1
