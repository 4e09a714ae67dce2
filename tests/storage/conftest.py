"""What the tests of storage share."""

import pytest
from shops import shop_in


@pytest.fixture
def shop(tmp_path):
    """An empty shop of a test's own."""
    opened = shop_in(tmp_path / "data")
    yield opened
    opened.close()
