"""A wheel from this tree, in an empty environment, serves its first page with its styles."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import venv
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PATIENCE_S = 60

pytestmark = pytest.mark.slow


def run(*command: str | Path, cwd: Path) -> str:
    """Run a command that must succeed; its output is the reason where it does not."""
    done = subprocess.run(command, cwd=cwd, text=True, capture_output=True)
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def fetch(url: str) -> tuple[int, str, str]:
    """Status, media type and text."""
    with urllib.request.urlopen(url, timeout=10) as answer:
        return answer.status, answer.headers.get_content_type(), answer.read().decode()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts' folder of an environment that holds the wheel and what it asks for."""
    made = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--outdir", made, ROOT, cwd=made)
    venv.create(made / "env", with_pip=True)
    scripts = made / "env" / ("Scripts" if sys.platform == "win32" else "bin")
    run(scripts / "pip", "install", "-q", *made.glob("*.whl"), cwd=made)
    return scripts


@pytest.fixture
def served(installed: Path, tmp_path: Path) -> Iterator[str]:
    """The address of a new house, served by the installed command far from the tree."""
    house, port = tmp_path / "house", free_port()
    started = (
        "new",
        "--name",
        "Mill cottage",
        "--room",
        "kitchen:Kitchen:main",
        "--trade",
        "trim:Trim crew",
    )
    run(installed / "fieldlog", *started, "--data", house, cwd=tmp_path)
    command = [installed / "fieldlog", "serve", "--data", house, "--port", str(port)]
    with subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE) as server:
        url = f"http://127.0.0.1:{port}"
        try:
            answers(url, server)
            yield url
        finally:
            server.terminate()


def answers(url: str, server: subprocess.Popen[bytes]) -> None:
    """Wait for the first page."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        assert server.poll() is None, "serve ended by itself"
        try:
            fetch(f"{url}/")
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.1)
        else:
            return
    pytest.fail(f"no page within {PATIENCE_S} s")


def test_the_first_page_comes_with_its_styles(served: str) -> None:
    status, media, page = fetch(f"{served}/")
    assert (status, media) == (200, "text/html")
    assert "Mill cottage" in page
    styles = re.findall(r'<link rel="stylesheet" href="([^"]+)"', page)
    assert styles
    for href in styles:
        status, media, css = fetch(f"{served}{href}")
        assert (status, media) == (200, "text/css")
        assert "{" in css


def test_the_data_files_came_along(installed: Path, tmp_path: Path) -> None:
    asked = tmp_path / "stair.json"
    asked.write_text(
        '{"sheet": "stair", "books": ["irc-2021"], "instrument": "exact",'
        ' "readings": {"riser": ["7 1/2", "7 7/8"]}}'
    )
    assert '"verdict": "fail"' in run(installed / "fieldlog", "judge", asked, cwd=tmp_path)
