"""A floor's stations in the words of pages and reports."""

from __future__ import annotations

from fieldlog.reports.stations import stations_in_full


def test_a_station_is_said_with_its_row_and_column_and_a_line_along_a_row_stays() -> None:
    told = stations_in_full("From row 3, 2 to row 6, 5, at row 4, 3. Check row 1, 2: it is 1/4 in.")
    assert told == (
        "From row 3, column 2 to row 6, column 5, at row 4, column 3. "
        "Check row 1, column 2: it is 1/4 in."
    )
    assert stations_in_full("Row 3, 1 to 6, at 4; row 3, 1 to 6.") == (
        "Row 3, 1 to 6, at 4; row 3, 1 to 6."
    )
