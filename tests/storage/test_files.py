"""Users' files: read strictly, written whole or not at all."""

import pytest

from ampwright.errors import BadRecord
from ampwright.storage.files import folder_for, read_document, write_file


def test_a_byte_order_mark_is_no_fault(tmp_path):
    file = tmp_path / "job.toml"
    file.write_bytes(b"\xef\xbb\xbfformat = 1\n")
    assert read_document(str(file)) == {"format": 1}


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("a.toml", b"format = ", "is not TOML: "),
        ("a.json", b"{", "is not JSON: "),
        ("a.json", b'{"a": 1, "a": 2}', "a: stands twice in one object. Keep one of them."),
        ("a.json", b"[]", "is not a document of keys and values"),
        ("a.toml", b"\xff\xfe\x00", "is not text in UTF-8"),
        ("a.json", b"[" * 100_000, "is nested too deeply"),
        ("a.toml", b"a = " + b"[" * 5000 + b"]" * 5000, "is nested too deeply"),
        ("a.toml", b"a" * 10_000_001, "holds more than 10 million characters"),
    ],
)
def test_a_broken_file_is_refused_with_what_to_do(tmp_path, name, content, sentence):
    file = tmp_path / name
    file.write_bytes(content)
    with pytest.raises(BadRecord) as caught:
        read_document(str(file))
    assert sentence in str(caught.value)


def test_a_folder_is_not_a_file(tmp_path):
    with pytest.raises(BadRecord, match="cannot be read"):
        read_document(str(tmp_path))


def test_what_cannot_be_written_leaves_the_old_file_as_it_was(tmp_path):
    blocked = tmp_path / "chart.svg"
    blocked.mkdir()
    with pytest.raises(BadRecord, match="Choose another place"):
        write_file(str(blocked), "new")
    assert blocked.is_dir()


def test_a_file_is_written_and_nothing_is_left_beside_it(tmp_path):
    write_file(str(tmp_path / "a.txt"), "text")
    write_file(str(tmp_path / "a.txt"), b"bytes")
    assert [(file.name, file.read_bytes()) for file in tmp_path.iterdir()] == [("a.txt", b"bytes")]


def test_a_folder_that_cannot_be_made_is_said(tmp_path):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(BadRecord, match="cannot be made"):
        folder_for(str(tmp_path / "file"))
