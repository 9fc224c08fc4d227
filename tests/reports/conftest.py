"""The small house that these tests walk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.reports.site import Site


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    """A house that was started, and nothing more."""
    made = Site(tmp_path / "mill")
    yield made
    made.close()
