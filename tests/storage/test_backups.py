"""Backups taken in use, put back only when they are ours and whole; and everything exported as plain files."""

import io
import json
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from zipfile import ZipFile

import pytest
from sheet_files import FUSE
from shops import changed_title, document, found, shop_in
from sqlalchemy import insert

from ampwright.bike.job import job_from
from ampwright.desk.cases import kept_jobs, kept_stock
from ampwright.desk.cases.kept_jobs import Caller
from ampwright.desk.cases.shop import now
from ampwright.errors import AmpwrightError, BadRecord
from ampwright.storage.details import DETAILS
from ampwright.storage.tables import HEAD, parts, photos, settings


@pytest.fixture
def saved(shop, tmp_path):
    """The path of a backup of a shop with one job."""
    kept_jobs.new_job(shop, document(), Caller("Ann Example"), "as it was saved")
    path = tmp_path / "saved.sqlite"
    kept_jobs.backup(shop, str(path))
    return path


def titles(shop) -> list[str]:
    """The titles of all jobs, oldest first."""
    return [line.title for line in reversed(kept_jobs.find_jobs(shop, "", archived=True))]


def test_a_backup_is_one_file_and_holds_everything(saved, tmp_path):
    assert [file.name for file in tmp_path.glob("saved*")] == ["saved.sqlite"]
    other = kept_jobs.restore_backup(str(saved), str(tmp_path / "other"))
    assert titles(other) == ["as it was saved"]
    assert [file.name for file in (tmp_path / "other").glob("*before*")] == []
    other.close()


def test_a_backup_is_written_over_no_file(shop, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("mine", encoding="utf-8")
    for write in (kept_jobs.backup, kept_jobs.write_export):
        with pytest.raises(BadRecord, match="is there already"):
            write(shop, str(taken))
    assert taken.read_text(encoding="utf-8") == "mine"


def test_a_backup_that_cannot_be_written_is_said(shop, tmp_path):
    with pytest.raises(BadRecord, match="cannot be written"):
        kept_jobs.backup(shop, str(tmp_path / "none" / "b.sqlite"))


def test_a_restored_backup_replaces_and_keeps_what_was_there(shop, saved, tmp_path):
    kept_jobs.new_job(shop, document(), title="begun later")
    again = kept_jobs.restore_backup(str(saved), str(tmp_path / "data"))
    assert titles(again) == ["as it was saved"]
    # the rule: the page that has it open all along sees the restored data
    assert titles(shop) == ["as it was saved"]
    (aside,) = (tmp_path / "data").glob("shop-before-*.sqlite")
    before = kept_jobs.restore_backup(str(aside), str(tmp_path / "before"))
    assert titles(before) == ["as it was saved", "begun later"]
    before.close()
    again.close()


def test_a_number_given_since_the_backup_is_not_given_again(shop, saved, tmp_path):
    later = kept_jobs.new_job(shop, document()).number
    again = kept_jobs.restore_backup(str(saved), str(tmp_path / "data"))
    # by hand: 101 was saved and 102 begun later
    assert (later, kept_jobs.new_job(again, document()).number) == ("102", "103")
    again.close()


def test_two_restores_in_a_second_keep_both(shop, saved, tmp_path):
    for _ in range(3):
        kept_jobs.restore_backup(str(saved), str(tmp_path / "data")).close()
    assert len(list((tmp_path / "data").glob("shop-before-*.sqlite"))) == 3


def broken(saved):
    """A backup with nonsense in the middle."""
    content = bytearray(saved.read_bytes())
    content[4096:12288] = b"\xa5" * 8192
    saved.write_bytes(content)


def cut_short(saved):
    """A backup of which half arrived."""
    saved.write_bytes(saved.read_bytes()[: saved.stat().st_size // 2])


def text_file(saved):
    """A file of text."""
    saved.write_text("format = 1\n" * 1000, encoding="utf-8")


def foreign(saved):
    """A database of another program."""
    saved.unlink()
    with closing(sqlite3.connect(saved)) as connection:
        connection.execute("CREATE TABLE songs (title TEXT)")


def newer(saved):
    """A backup of a newer layout."""
    with closing(sqlite3.connect(saved)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")


@pytest.mark.parametrize(
    "spoil,sentence",
    [
        (broken, "damaged|cannot be read as a backup"),
        (cut_short, "damaged|cannot be read as a backup"),
        (text_file, "cannot be read as a backup"),
        (foreign, "none of ours"),
        (newer, "newer ampwright"),
        (lambda saved: saved.write_bytes(b""), "none of ours"),
        (lambda saved: saved.unlink(), "is not there"),
    ],
)
def test_what_is_no_sound_backup_replaces_nothing(shop, saved, tmp_path, spoil, sentence):
    kept_jobs.new_job(shop, document(), title="begun later")
    spoil(saved)
    with pytest.raises(AmpwrightError, match=sentence):
        kept_jobs.restore_backup(str(saved), str(tmp_path / "data"))
    assert titles(shop) == ["as it was saved", "begun later"]
    assert [file.name for file in (tmp_path / "data").iterdir() if "shop.sqlite" not in file.name] == []


def test_a_database_that_is_broken_is_put_aside_and_replaced(saved, tmp_path):
    folder = tmp_path / "fallen"
    folder.mkdir()
    (folder / "shop.sqlite").write_bytes(b"no database " * 1000)
    with pytest.raises(BadRecord, match="Restore a backup"):
        shop_in(folder)
    again = kept_jobs.restore_backup(str(saved), str(folder))
    assert titles(again) == ["as it was saved"]
    (aside,) = folder.glob("shop-before-*.sqlite")
    assert aside.read_bytes().startswith(b"no database")
    again.close()


def test_a_copy_of_the_database_itself_can_be_restored(shop, saved, tmp_path):
    shop.close()
    copied = shutil.copy(tmp_path / "data" / "shop.sqlite", tmp_path / "copied")
    again = kept_jobs.restore_backup(str(copied), str(tmp_path / "moved"))
    assert titles(again) == ["as it was saved"]
    again.close()


WRITER = """
import sys
from ampwright.desk.cases import kept_jobs, kept_stock
from ampwright.desk.cases.shop import open_shop
shop = open_shop(sys.argv[1])
print("begun", flush=True)
while True:
    first, second = kept_jobs.new_job(shop).number, kept_jobs.new_job(shop).number
"""


def test_a_backup_taken_while_somebody_writes_is_whole(shop, tmp_path):
    command = [sys.executable, "-c", WRITER, str(tmp_path / "data")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout.readline() == "begun\n"
        try:
            for count in range(5):
                kept_jobs.backup(shop, str(tmp_path / f"{count}.sqlite"))
        finally:
            writer.kill()
    for count in range(5):
        other = kept_jobs.restore_backup(str(tmp_path / f"{count}.sqlite"), str(tmp_path / f"r{count}"))
        numbers = sorted(int(line.number) for line in kept_jobs.find_jobs(other, "", limit=10**6))
        # the rule: numbers are given one after another, so a copy of one moment has no gap
        assert numbers == list(range(101, 101 + len(numbers)))
        other.close()


def test_the_export_holds_every_job_photo_part_and_setting(shop):
    held = document(findings=[found("marking", "E3L ✓")])
    job = kept_jobs.new_job(shop, held, Caller("José Example", "01632 960555", "rings back"))
    changed_title(shop, job, "B")
    with shop.database.writing() as connection:
        kept = {"id": 7, "job_id": 1, "name": "../stator.jpg", "media_type": "image/jpeg", "width_px": 2}
        connection.execute(insert(photos).values(kept | {"height_px": 1, "data": b"jpeg", "small": b"", "at": now()}))
        connection.execute(insert(parts).values(code="A1", position=1, document={"code": "A1"}, changed=now()))
        connection.execute(insert(settings).values(key=DETAILS, value={"name": "Example Spares"}))
    with ZipFile(io.BytesIO(kept_jobs.export_everything(shop))) as file:
        assert file.testzip() is None
        names = file.namelist()
        one = json.loads(file.read("jobs/101.json"))
        assert names == ["README.txt", "jobs/101.json", "photos/101/7.jpg", "parts.json", "settings.json"]
        assert file.read("photos/101/7.jpg") == b"jpeg"
        assert json.loads(file.read("parts.json"))[0]["document"] == {"code": "A1"}
        assert json.loads(file.read("settings.json"))[DETAILS] == {"name": "Example Spares"}
        assert "jobs/101.json" in file.read("README.txt").decode()
    assert one["caller"] == {"name": "José Example", "phone": "01632 960555", "note": "rings back"}
    assert one["photos"][0]["file"] == "photos/101/7.jpg"
    # the rule: the document alone is a job, and every state is there
    assert job_from(one["document"], "export").title == "B"
    assert [(state["revision"], state["document"]["title"]) for state in one["history"]] == [
        (1, held["title"]),
        (2, "B"),
    ]


def test_the_layout_of_a_backup_is_this_one(saved):
    with closing(sqlite3.connect(saved)) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchall() == [(HEAD,)]


def test_a_page_that_is_open_during_a_restore_shows_the_restored_stock(shop, tmp_path):
    kept_stock.save_part(shop, FUSE | {"price": "1.00"})
    kept_jobs.backup(shop, str(tmp_path / "old.sqlite"))
    kept_stock.save_part(shop, FUSE | {"price": "2.00"})
    kept_jobs.backup(shop, str(tmp_path / "new.sqlite"))
    seen = []
    for name in ("old", "new", "old"):
        kept_jobs.restore_backup(str(tmp_path / f"{name}.sqlite"), str(tmp_path / "data")).close()
        # the page beside, which has worked out its shelf before
        seen.append((str(kept_stock.shelf(shop).parts[0].price), kept_stock.stock_version(shop)))
        kept_stock.save_part(shop, FUSE | {"price": "3.00"})
        kept_stock.shelf(shop)
    # by hand: two changes, then each restore and each change counts one more
    assert seen == [("1.00", 3), ("2.00", 5), ("1.00", 7)]
