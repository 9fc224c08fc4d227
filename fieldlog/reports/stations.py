"""A floor's stations as they are shown, where a stored sentence has them short."""

from __future__ import annotations

import re

_STATION = re.compile(r"\brow (\d+), (\d+)\b(?! to \d)")


def stations_in_full(text: str) -> str:
    """ "row 3, column 2" for a station that a stored sentence names by "row 3, 2".

    "Row 3, 1 to 6" is a line along a row and stays. What is stored is never changed.
    """
    return _STATION.sub(r"row \1, column \2", text)
