"""Which places of a grid lie outside the room: no straightedge reaches across them.

A bar that is laid over a place where no station could be read (a pallet, a rug) still lies on
the floor; over the notch of an L or a column it would have to go through the walls. NumPy is
imported by what this uses: import it only where a floor is judged.
"""

from __future__ import annotations

from fieldlog.calc.floors_outline import Outline
from fieldlog.calc.floors_survey import Cell, SurveyNotUsable
from fieldlog.calc.values import Away, Grid


def outside_of(levels: Grid) -> frozenset[Cell]:
    """The places without a station that lie outside the walls, or in what is cut out of them.

    None where the room has no outline, or one that crosses itself: then nothing is known.
    """
    if not levels.rings:
        return frozenset()
    try:
        outline = Outline(levels.rings[0], levels.rings[1:])
    except SurveyNotUsable:
        return frozenset()
    return frozenset(
        (r, c)
        for r, row in enumerate(levels.rows)
        for c, cell in enumerate(row)
        if isinstance(cell, Away) and not outline.holds((c * levels.spacing, r * levels.spacing))
    )
