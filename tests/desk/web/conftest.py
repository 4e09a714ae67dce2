"""What the tests of page and interface share: a desk with an empty shop."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_client import desk
from starlette.testclient import TestClient


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A client of a desk with an empty shop of its own."""
    made = desk(tmp_path)
    yield made
    made.close()
    made.app.state.shop.close()  # type: ignore[attr-defined]
