"""The gallery shows what the program answers now."""

from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def made():
    """The gallery as it would be made now."""
    loader = SourceFileLoader("gallery", str(ROOT / "scripts" / "gallery"))
    spec = spec_from_loader("gallery", loader)
    module = module_from_spec(spec)
    loader.exec_module(module)
    return module.gallery()


def test_the_committed_gallery_is_what_the_program_answers(made):
    committed = {file.name for file in (ROOT / "docs" / "gallery").iterdir()}
    assert committed == set(made)
    for name, text in made.items():
        # regression only: shows that the page was made afresh, not that it is right
        assert (ROOT / "docs" / "gallery" / name).read_text(encoding="utf-8") == text, f"run scripts/gallery ({name})"
