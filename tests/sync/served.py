"""A real `fieldlog serve` in a process of its own, and a browser's cookies to reach it with."""

from __future__ import annotations

import http.client
import http.cookiejar
import json
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

HEADERS = {"X-Fieldlog": "outbox/1", "Content-Type": "application/json"}
UNREACHED = (urllib.error.URLError, OSError, http.client.HTTPException)
PATIENCE = 60.0


def free_port() -> int:
    """A port that is free now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def serve(folder: Path, port: int) -> subprocess.Popen[bytes]:
    """The command, without what it prints."""
    return subprocess.Popen(
        [sys.executable, "-m", "fieldlog", "serve", "--data", str(folder), "--port", str(port)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


class Browser:
    """Cookies of one browser, kept over restarts of the server."""

    def __init__(self, port: int) -> None:
        self.address = f"http://127.0.0.1:{port}"
        jar = http.cookiejar.CookieJar()
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))

    def asks(self, method: str, path: str, body: bytes | None = None) -> bytes:
        """The answer's bytes. Raises one of UNREACHED."""
        request = urllib.request.Request(self.address + path, body, HEADERS, method=method)
        with self.opener.open(request, timeout=30) as answer:
            data: bytes = answer.read()
            return data

    def posts(self, body: Any) -> Any:
        """POST /sync."""
        return json.loads(self.asks("POST", "/sync", json.dumps(body).encode()))

    def greets(self) -> Any:
        """/sync/hello, once the server answers."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            try:
                return json.loads(self.asks("GET", "/sync/hello"))
            except UNREACHED:
                time.sleep(0.05)
        raise TimeoutError("the server did not answer")
