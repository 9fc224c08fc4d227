"""A file of points as stations of the survey form: read, gridded, and put where keys would."""

from __future__ import annotations

from math import isqrt
from typing import TYPE_CHECKING

from werkzeug.datastructures import FileStorage

from fieldlog.calc.lengths import format_length
from fieldlog.web.room_outline import exact_text
from fieldlog.web.sheet_form import slot_name
from fieldlog.web.surveying import GRID, MOST

if TYPE_CHECKING:
    from fieldlog.calc.floors_survey import Stations

ASKED = ("in", "ft", "mm", "cm", "m")
SCAN = 3
"""Cells of so many readings or more are medians, which are better than one reading is."""


class FileNotUsable(ValueError):
    """The file makes no survey; the message says why."""


def stations_of_file(
    upload: FileStorage, unit: str, skip: bool, system: str
) -> tuple[dict[str, str], str]:
    """The form's fields for a file, and what was read in a sentence. Raises FileNotUsable."""
    from fieldlog.calc.floors_import import PointsRefused, parse_points
    from fieldlog.calc.floors_survey import SurveyNotUsable, survey_of

    name = (upload.filename or "the file").rpartition("/")[2]
    asked = unit if unit in ASKED else ""
    try:
        read = parse_points(upload.read(), name, asked, skip)
        survey = survey_of(read.points)
        stations = _fewer(survey, system)
    except PointsRefused as err:
        raise FileNotUsable(err.sentence) from err
    except SurveyNotUsable as err:
        raise FileNotUsable(err.sentence) from err
    rows = "row" if read.skipped == 1 else "rows"
    skipped = f", {read.skipped} bad {rows} skipped" if read.skipped else ""
    return _fields(stations, system), (
        f"{name}: {len(read.points)} points in {read.unit}{skipped}, {stations.known} stations "
        f"every {format_length(stations.spacing, system, feet=True)}. Look it over, then save."
    )


def _fewer(survey: object, system: str) -> Stations:
    """Stations no more than a check holds: a finer scan in larger cells."""
    from fieldlog.calc.floors_grid import survey_from_points
    from fieldlog.calc.floors_survey import Survey

    assert isinstance(survey, Survey)
    stations = survey_from_points(survey, system=system)
    while stations.shape[0] * stations.shape[1] > MOST:
        rows, columns = stations.shape
        times = max(isqrt(rows * columns // MOST) + 1, 2)
        stations = survey_from_points(survey, cell=stations.spacing * times, system=system)
    return stations


def _fields(stations: Stations, system: str) -> dict[str, str]:
    rows, columns = stations.shape
    fields = {
        f"rows-{GRID}": str(rows), f"columns-{GRID}": str(columns),
        f"q-{GRID}-spacing": exact_text(stations.spacing, system), "reads": "heights mm",
        "walls": "", "scan": str(_fewest(stations)),
    }  # fmt: skip
    low = min(int(z) for z in stations.z[stations.mask])
    for r in range(rows):
        for c in range(columns):
            height = stations.height((r, c))
            text = "x" if height is None else _millimeters(height - low)
            fields[slot_name(GRID, r, c)] = text
    return fields


def _fewest(stations: Stations) -> int:
    """The fewest readings a station was made of; 1 where that is no scan's."""
    fewest = int(stations.counts[stations.mask].min())
    return fewest if stations.gridded and fewest >= SCAN else 1


def _millimeters(nm: int) -> str:
    """To the micrometer: what a form can carry, and finer than any tool reads."""
    micrometers = (nm + 500) // 1000
    return f"{micrometers // 1000}.{micrometers % 1000:03d}".rstrip("0").rstrip(".")
