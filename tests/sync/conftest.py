"""A served house and a tablet that has greeted it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from page_tablet import Node
from twin import Site, Tablet, quick


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Site]:
    """A house with its first entry, served to this machine."""
    quick(monkeypatch)
    made = Site(tmp_path)
    made.begins()
    yield made
    made.close()


@pytest.fixture
def tablet(site: Site) -> Tablet:
    """A tablet in reach."""
    one = Tablet(site.wire())
    one.greet()
    return one


@pytest.fixture(scope="module")
def pages() -> Iterator[list[Node]]:
    """Two tablets' pages."""
    made = [Node(), Node()]
    yield made
    for one in made:
        one.ends()
