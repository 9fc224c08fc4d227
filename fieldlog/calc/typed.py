"""One spelling for each sign that people type in a length, before any grammar looks at it."""

from __future__ import annotations

import re

_PLAIN = str.maketrans(
    {
        **dict.fromkeys("“”″„‟", '"'),
        **dict.fromkeys("‘’′‛`´", "'"),
        **dict.fromkeys("−‐‑–", "-"),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f", " "),
    }
)
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6",
    "⅚": "5/6", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
_VULGAR_SIGN = re.compile(rf"([0-9]?)([{''.join(_VULGAR)}])")


def plain(text: str) -> str:
    """`text` in lower case with plain quotes, dashes, spaces and fractions: 7½” is 7 1/2"."""
    spelled = _VULGAR_SIGN.sub(_spelled, text.translate(_PLAIN)).lower().replace("''", '"')
    return re.sub(" +", " ", spelled).strip(" ")


def short(text: str) -> str:
    """What was typed, fit to stand in a sentence."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in text[:24])
    return shown + ("..." if len(text) > 24 else "")


def _spelled(found: re.Match[str]) -> str:
    """The space behind keeps ½4 from turning into 1/24."""
    digit, sign = found.groups()
    return f"{digit} {_VULGAR[sign]} " if digit else f"{_VULGAR[sign]} "
