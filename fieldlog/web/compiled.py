"""Templates compiled once a process: its doors are apps of their own, with the same pages."""

from __future__ import annotations

from jinja2.bccache import Bucket, BytecodeCache


class Compiled(BytecodeCache):
    """Bytecode in memory, by template; Jinja itself compares the source's checksum."""

    def __init__(self) -> None:
        self._known: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fill the bucket where the template is known."""
        known = self._known.get(bucket.key)
        if known is not None:
            bucket.bytecode_from_string(known)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled."""
        self._known[bucket.key] = bucket.bytecode_to_string()


COMPILED = Compiled()
"""The process's own."""
