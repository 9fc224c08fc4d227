"""The superintendent with a laser and a rod: every selector of the floor's pages is in here."""

from __future__ import annotations

from collections.abc import Callable

from tests.browser.navigators import Superintendent

Height = Callable[[int, int], int]
"""Sixteenths above the mark by row and column, from 0."""


class Surveyor(Superintendent):
    """Walks a floor's stations."""

    def lays_the_stations(self) -> None:
        """The room's size is known from the house; one tap lays them."""
        self.presses("Lay the stations")

    def stations(self) -> list[tuple[int, int]]:
        """The places of the rod in walking order, as rows and columns from 0."""
        names = self.page.locator("[data-walk]").evaluate_all(
            "all => all.sort((a, b) => a.dataset.walk - b.dataset.walk).map(one => one.name)"
        )
        cells = (name.split("-")[2:] for name in names)
        return [(int(row) - 1, int(column) - 1) for row, column in cells]

    def walks(self, height: Height, stop_after: int | None = None) -> None:
        """One number a station; by the keypad alone, where there is one."""
        for row, column in self.stations()[:stop_after]:
            text = _text(height(row, column))
            if self.script:
                self._key(text)
            else:
                self.page.locator(f"#q-levels-{row + 1}-{column + 1}").fill(text)

    def is_at(self, station: str) -> None:
        """Until the keypad is at that station."""
        self.page.locator("#pad-of").filter(has_text=station).wait_for()

    def tinted(self, more_than: int = 0) -> int:
        """How many stations the map shows as high or low, once they are more than so many."""
        tints = "td[class*=high], td[class*=low]"
        self.page.wait_for_function(
            "([tints, few]) => document.querySelectorAll(tints).length > few",
            arg=[tints, more_than],
        )
        return self.page.locator(tints).count()

    def hears(self, words: str) -> str:
        """What the map says of itself, once it says these words."""
        said = self.page.locator("#pad-summary").filter(has_text=words)
        said.wait_for()
        return said.inner_text()

    def says_what_is_there(self, words: str, bag: str, grind: str) -> None:
        """What is there, and what work costs."""
        self.taps_on(self.page.locator("form#ask label").filter(has_text=words).first)
        self.page.locator("#bag_price").fill(bag)
        self.page.locator("#grind_price").fill(grind)
        self.presses("Work it out again")

    def takes_the_plan(self, kind: str) -> None:
        """The plan of a kind: least, pool or mix."""
        self.taps_on(self.page.locator(f'button[name="kind"][value="{kind}"]'))

    def plan_says(self) -> str:
        """The chosen plan's words."""
        return " ".join(self.page.locator("#plan").inner_text().split())

    def maps(self) -> int:
        """How many maps of a floor are seen: one of the two layouts of each."""
        title = self.page.locator("title", has_text="Floor, level readings")
        return self.page.locator("svg:visible").filter(has=title).count()


def _text(sixteenths: int) -> str:
    return f"{sixteenths:+d}" if sixteenths else "0"
