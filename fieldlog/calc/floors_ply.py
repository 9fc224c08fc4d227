"""Points out of a PLY file (ASCII, or binary of either byte order).

Read here, and not by a library, for three reasons: a bad row is named by its line in the file,
a count that the file does not hold is said in numbers before anything is allocated by it, and
a million ASCII or binary points are read in about the time of their text. The libraries are the
reference in the tests. Only the element `vertex` is read, of it x, y and z.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from fieldlog.calc.floors_rows import Columns, Points, PointsRefused, from_floats, points_of
from fieldlog.calc.typed import short

_LONGEST_HEADER = 100_000
_TYPES = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4",
    "float": "f4", "double": "f8", "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2",
    "int32": "i4", "uint32": "u4", "float32": "f4", "float64": "f8",
}  # fmt: skip
_ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(slots=True)
class _Element:
    name: str
    count: int
    properties: list[tuple[str, str]] = field(default_factory=list)
    has_lists: bool = False

    def dtype(self, order: str) -> np.dtype[np.void]:
        return np.dtype([(name, order + kind) for name, kind in self.properties])


@dataclass(frozen=True, slots=True)
class _Header:
    order: str
    elements: tuple[_Element, ...]
    lines: int
    size: int

    def vertex(self) -> tuple[int, _Element]:
        """Where the points are among the elements. Raises PointsRefused where they are not."""
        for place, element in enumerate(self.elements):
            names = [name for name, _ in element.properties]
            if element.name == "vertex" and {"x", "y", "z"} <= set(names):
                if element.count == 0:
                    raise PointsRefused("There are no points in the PLY file.")
                return place, element
        raise PointsRefused("The PLY file has no points: no vertex with x, y and z.")


def ply_points(data: bytes, units: tuple[str, str, str]) -> Points:
    """The points of a PLY file. Raises PointsRefused for one that is none or does not hold
    what its header says."""
    header = _header(data)
    return _ascii(data, header, units) if not header.order else _binary(data, header, units)


def _header(data: bytes) -> _Header:
    end = data.find(b"end_header", 0, _LONGEST_HEADER)
    stop = min((at for at in (data.find(b"\n", end), data.find(b"\r", end)) if at >= 0), default=-1)
    if end < 0 or stop < 0:
        raise PointsRefused("The PLY file has no whole header: it is damaged or cut off.")
    size = stop + (2 if data[stop : stop + 2] == b"\r\n" else 1)
    lines = data[:end].decode("ascii", "replace").splitlines()
    order: str | None = None
    elements: list[_Element] = []
    for number, line in enumerate(lines, start=1):
        words = line.split()
        if words[:1] == ["format"] and len(words) > 1:
            order = _ORDERS.get(words[1])
        elif words[:1] == ["element"]:
            elements.append(_element(words, number))
        elif words[:1] == ["property"]:
            _property(elements, words, number)
    if order is None:
        raise PointsRefused("The PLY file does not say a format that is known.")
    return _Header(order, tuple(elements), len(lines) + 1, size)


def _element(words: Sequence[str], number: int) -> _Element:
    if len(words) != 3 or not words[2].isascii() or not words[2].isdigit() or len(words[2]) > 18:
        raise PointsRefused(f"Line {number} of the PLY header does not say how many there are.")
    return _Element(words[1], int(words[2]))


def _property(elements: Sequence[_Element], words: Sequence[str], number: int) -> None:
    if not elements:
        raise PointsRefused(f"Line {number} of the PLY header belongs to no element.")
    if words[1:2] == ["list"]:
        elements[-1].has_lists = True
    elif len(words) == 3 and words[1] in _TYPES:
        if words[2] in {name for name, _ in elements[-1].properties}:
            raise PointsRefused(f'Line {number} of the PLY header has "{short(words[2])}" twice.')
        elements[-1].properties.append((words[2], _TYPES[words[1]]))
    else:
        raise PointsRefused(f"Line {number} of the PLY header is not understood.")


def _ascii(data: bytes, header: _Header, units: tuple[str, str, str]) -> Points:
    place, vertex = header.vertex()
    if vertex.has_lists:
        raise PointsRefused("The points of the PLY file have lists in them, which are not read.")
    rows = [
        (number, line)
        for number, line in enumerate(
            data[header.size :].decode("ascii", "replace").splitlines(), start=header.lines + 1
        )
        if line.strip()
    ]
    before = sum(element.count for element in header.elements[:place])
    after = sum(element.count for element in header.elements[place + 1 :])
    held = max(0, len(rows) - before - after)
    if held != vertex.count:
        raise _lies(vertex.count, held)
    mine = rows[before : before + vertex.count]
    columns = Columns(None, _places(vertex), units)
    return points_of([line for _, line in mine], [number for number, _ in mine], columns)


def _binary(data: bytes, header: _Header, units: tuple[str, str, str]) -> Points:
    place, vertex = header.vertex()
    before = header.elements[:place]
    if vertex.has_lists or any(element.has_lists for element in before):
        raise PointsRefused("The points of the PLY file have lists in or before them: not read.")
    start = header.size + sum(e.count * e.dtype(header.order).itemsize for e in before)
    dtype = vertex.dtype(header.order)
    held = max(0, len(data) - start) // dtype.itemsize
    last = place == len(header.elements) - 1
    if held < vertex.count or (last and held > vertex.count):
        raise _lies(vertex.count, held)
    table = np.frombuffer(data, dtype, vertex.count, min(start, len(data)))
    values = np.stack([table[axis].astype(np.float64) for axis in "xyz"], axis=1)
    return from_floats(values, range(1, vertex.count + 1), units)


def _places(vertex: _Element) -> tuple[int, int, int]:
    names = [name for name, _ in vertex.properties]
    return names.index("x"), names.index("y"), names.index("z")


def _lies(says: int, holds: int) -> PointsRefused:
    return PointsRefused(
        f"The header says {says} points and the file holds {holds}: it is damaged or cut off."
    )
