"""Fixtures of the store's tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from keeping import Kept, copied


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    """A house with its first entry, open for writing."""
    one = copied(tmp_path / "house")
    yield one
    one.conn.close()
