"""A room's outline and the stations laid in it: where the rod goes, in walking order.

Corners are (x, y) in whole nm in order around the room, either way round; cut-outs (columns, a
stair's hole) are outlines of their own. All of it is exact: integers, squares compared, areas
as whole nm2. A station stands for its own cell, the square of one spacing around it, as far as
the room goes. Where an outline crosses itself, or a cut-out leaves the room, is said in words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.floors_survey import (
    MAX_CELLS,
    MAX_NM,
    Cell,
    SurveyNotUsable,
    about,
)

Point = tuple[int, int]
Ring = tuple[Point, ...]

_MOST_CORNERS = 200


@dataclass(frozen=True)
class Outline:
    """A simple polygon, nm, and what is cut out of it. Raises SurveyNotUsable for one that is not.

    Corners that repeat and corners on a straight wall are allowed; a wall may not touch or
    cross another one.
    """

    corners: Ring
    holes: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        for name, ring in self._named():
            _refuse_ring(ring, name)
        walls = [list(_walls(ring)) for _, ring in self._named()]
        for n, ring in enumerate(self.holes):
            others = [wall for k, rest in enumerate(walls) if k != n + 1 for wall in rest]
            if any(_touch(wall, other) for wall in walls[n + 1] for other in others):
                raise SurveyNotUsable(f"Cut-out {n + 1} touches a wall or another cut-out.")
            if _where(self.corners, ring[0]) < 0:
                raise SurveyNotUsable(f"Cut-out {n + 1} lies outside the room.")

    def _named(self) -> Iterator[tuple[str, Ring]]:
        yield "The outline", self.corners
        for n, ring in enumerate(self.holes, start=1):
            yield f"Cut-out {n}", ring

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outline, then the cut-outs."""
        return (self.corners, *self.holes)

    @property
    def area(self) -> int:
        """What is inside and not cut out, nm2, rounded down."""
        sizes = [abs(_twice_area(ring)) for ring in self.rings]
        return (sizes[0] - sum(sizes[1:])) // 2

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Least x, least y, greatest x, greatest y, nm."""
        xs, ys = [x for x, _ in self.corners], [y for _, y in self.corners]
        return min(xs), min(ys), max(xs), max(ys)

    def holds(self, point: Point, off: int = 0) -> bool:
        """Whether a rod of radius `off` (nm) fits there: inside, and clear of every wall."""
        if _where(self.corners, point) < 0 or any(_where(h, point) > 0 for h in self.holes):
            return False
        return all(_clear(point, wall, off) for ring in self.rings for wall in _walls(ring))

    def area_within(self, low: Point, high: Point) -> int:
        """How much of a box lies in the room, nm2, rounded to the nearest."""
        sizes = [abs(_twice_area(_clipped(ring, low, high))) for ring in self.rings]
        return (2 * (sizes[0] - sum(sizes[1:])) + 2) // 4  # half of it, half up


@dataclass(frozen=True, slots=True)
class Layout:
    """Stations laid in a room.

    `order` is the walking order: along each row and back along the next; `areas` the area of
    each station's own cell in nm2, in the same order; `origin` the (x, y) of row 0, column 0;
    `shape` rows and columns of the grid they are part of.
    """

    order: tuple[Cell, ...]
    areas: tuple[int, ...]
    origin: Point
    spacing: int
    shape: tuple[int, int]

    def xy(self, cell: Cell) -> Point:
        """Where a station is, nm."""
        return self.origin[0] + cell[1] * self.spacing, self.origin[1] + cell[0] * self.spacing


def rectangle(width: int, depth: int) -> Outline:
    """A room of four walls: `width` along x, `depth` along y, nm."""
    return Outline(((0, 0), (width, 0), (width, depth), (0, depth)))


def cells(outline: Outline, spacing: int, rod_radius: int) -> Layout:
    """Stations `spacing` nm apart in the room, at least `rod_radius` nm off every wall.

    The grid is centred, so that what does not divide is left at both walls. Raises
    SurveyNotUsable where none fits or there would be too many.
    """
    if spacing <= 0 or rod_radius < 0:
        raise SurveyNotUsable("The spacing must be more than zero, the rod's radius not below it.")
    low_x, low_y, high_x, high_y = outline.box
    (x, columns), (y, rows) = (
        _centred(low, high, spacing, rod_radius) for low, high in ((low_x, high_x), (low_y, high_y))
    )
    if rows * columns > MAX_CELLS // 100:
        raise SurveyNotUsable("So many stations cannot be walked. Take a wider spacing.")
    layout = Layout((), (), (x, y), spacing, (rows, columns))
    order = tuple(
        c for c in _back_and_forth(rows, columns) if outline.holds(layout.xy(c), rod_radius)
    )
    if not order:
        raise SurveyNotUsable("No station fits in the room. Take a closer spacing.")
    return Layout(
        order, tuple(cell_area(outline, layout.xy(c), spacing) for c in order), (x, y), spacing,
        (rows, columns),
    )  # fmt: skip


def cell_area(outline: Outline | None, at: Point, spacing: int) -> int:
    """The area of the station's own cell in the room, nm2; all of it where there is no outline."""
    if outline is None or outline.holds(at, spacing):  # no wall comes near the cell
        return spacing * spacing
    low, high = spacing // 2, spacing - spacing // 2
    return outline.area_within((at[0] - low, at[1] - low), (at[0] + high, at[1] + high))


def _centred(low: int, high: int, spacing: int, off: int) -> tuple[int, int]:
    """First place and how many of them fit between two walls, `off` from each."""
    room = high - low - 2 * off
    count = room // spacing + 1 if room >= 0 else 0
    return (low + high - (count - 1) * spacing) // 2, count


def _back_and_forth(rows: int, columns: int) -> Iterator[Cell]:
    for row in range(rows):
        there = range(columns) if row % 2 == 0 else range(columns - 1, -1, -1)
        yield from ((row, column) for column in there)


def _refuse_ring(ring: Ring, name: str) -> None:
    if len(ring) > _MOST_CORNERS:
        raise SurveyNotUsable(f"{name} has more than {_MOST_CORNERS} corners.")
    if any(abs(v) > MAX_NM for corner in ring for v in corner):
        raise SurveyNotUsable(f"{name} has a corner more than 1 km away. Is the unit right?")
    walls = list(_walls(ring))
    if len(walls) < 3:
        raise SurveyNotUsable(f"{name} needs three corners or more.")
    for n, wall in enumerate(walls):
        for k in range(n + 1, len(walls)):
            beside = k == n + 1 or (n == 0 and k == len(walls) - 1)
            if _folded(wall, walls[k]) if beside else _touch(wall, walls[k]):
                (x, y), _ = walls[k]
                raise SurveyNotUsable(
                    f"{name} crosses itself: the wall from corner {n + 1} meets the one that "
                    f"starts at x {about(x)}, y {about(y)}. Give the corners in order."
                )
    if _twice_area(ring) == 0:
        raise SurveyNotUsable(f"{name} has no area: its corners lie on one line.")


Wall = tuple[Point, Point]


def _walls(ring: Sequence[Point]) -> Iterator[Wall]:
    for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True):
        if a != b:
            yield a, b


def _side(a: Point, b: Point, p: Point) -> int:
    """Twice the signed area of a, b, p: above zero where p is left of a to b."""
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _on(a: Point, b: Point, p: Point) -> bool:
    """Whether p, on the line through a and b, is between them."""
    return min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])


def _touch(one: Wall, other: Wall) -> bool:
    """Whether two walls meet anywhere."""
    (a, b), (c, d) = one, other
    sides = (_side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b))
    if sides[0] * sides[1] < 0 and sides[2] * sides[3] < 0:
        return True
    ends = ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    return any(side == 0 and _on(*end) for side, end in zip(sides, ends, strict=True))


def _folded(one: Wall, other: Wall) -> bool:
    """Whether two walls with a corner in common lie on each other."""
    (a, b), (c, d) = one, other
    corner, p, q = (b, a, d) if b == c else (a, b, c)
    if _side(corner, p, q) != 0:
        return False
    return (p[0] - corner[0]) * (q[0] - corner[0]) + (p[1] - corner[1]) * (q[1] - corner[1]) > 0


def _where(ring: Ring, point: Point) -> int:
    """1 inside, 0 on a wall, -1 outside: a ray along x crosses the walls an odd number of times."""
    inside = False
    for a, b in _walls(ring):
        side = _side(a, b, point)
        if side == 0 and _on(a, b, point):
            return 0
        if (a[1] > point[1]) != (b[1] > point[1]) and (side > 0) == (b[1] > a[1]):
            inside = not inside
    return 1 if inside else -1


def _clear(point: Point, wall: Wall, off: int) -> bool:
    """Whether the point is `off` or more from a wall; squares, so that it is exact."""
    (ax, ay), (bx, by) = wall
    dx, dy, px, py = bx - ax, by - ay, point[0] - ax, point[1] - ay
    length, along = dx * dx + dy * dy, px * dx + py * dy
    if along <= 0:
        return px * px + py * py >= off * off
    if along >= length:
        return (px - dx) ** 2 + (py - dy) ** 2 >= off * off
    return (dx * py - dy * px) ** 2 >= off * off * length


def _twice_area(ring: Sequence[tuple[Fraction | int, Fraction | int]]) -> Fraction:
    """Twice the signed area (shoelace)."""
    around = zip(ring, (*ring[1:], *ring[:1]), strict=True)
    return Fraction(sum((ax * by - bx * ay for (ax, ay), (bx, by) in around), Fraction(0)))


def _clipped(ring: Ring, low: Point, high: Point) -> list[tuple[Fraction | int, Fraction | int]]:
    """The ring cut to a box, side by side (Sutherland and Hodgman, 1974).

    Of a ring that leaves the box and comes back, parts are joined along the box's side: they
    have no width, so the area is right.
    """
    shape: list[tuple[Fraction | int, Fraction | int]] = list(ring)
    for axis, sign, bound in ((0, 1, low[0]), (0, -1, high[0]), (1, 1, low[1]), (1, -1, high[1])):
        kept: list[tuple[Fraction | int, Fraction | int]] = []
        for a, b in zip(shape, (*shape[1:], *shape[:1]), strict=True):
            before, after = sign * (a[axis] - bound), sign * (b[axis] - bound)
            if before >= 0:
                kept.append(a)
            if before * after < 0:
                t = Fraction(before, before - after)
                kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
        shape = kept
    return shape
