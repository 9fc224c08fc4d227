"""What people do on the pages, in their own words. Every selector of the tests is in here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

SENDS = "e => e.type === 'submit' && e.form?.method === 'post' && e.name !== 'do'"
"""Whether an element is a button that sends a form; those named "do" change the form first."""
NUMBER = re.compile(r"[A-Z]{1,3}-\d+")
FRACTION = re.compile(r"^(?:(\d+) )?(\d+/\d+)$")


class Reader:
    """Anyone looking at a page."""

    def __init__(self, page: Page, script: bool = False) -> None:
        self.page = page
        self.script = script
        self.taps = 0

    def opens(self, address: str) -> None:
        """Type an address."""
        self.page.goto(address)

    def taps_on(self, target: Locator) -> None:
        """One tap, counted. What sends a form leads to a page once the form's entry is kept."""
        self.taps += 1
        if target.evaluate(SENDS):
            if self.script:  # once the page's own way of sending is there
                self.page.locator("html[data-outbox]").wait_for()
            with self.page.expect_navigation():
                target.click()
        else:
            target.click()
        self.page.wait_for_load_state("domcontentloaded")  # read no page by half

    def goes_to(self, place: str) -> None:
        """One of the five places along the bottom."""
        self.taps_on(self.page.locator("nav.places").get_by_role("link", name=place, exact=True))

    def follows(self, words: str) -> None:
        """A link of the page, by its words."""
        self.taps_on(self.page.get_by_role("link", name=words).first)

    def presses(self, words: str) -> None:
        """A button of the page, by its words."""
        self.taps_on(self.page.get_by_role("button", name=words).first)

    def heading(self) -> str:
        """What the page's head says it is."""
        return self.page.locator("h1").inner_text()

    def head(self) -> str:
        """Everything in the page's head."""
        return " ".join(self.page.locator(".head").inner_text().split())

    def reads(self) -> str:
        """All the words of the page, folded ones as well, with single blanks."""
        return " ".join((self.page.locator("main").text_content() or "").split())

    def item_says(self) -> str:
        """The stamp of the item on the page."""
        stamps = self.page.locator("main .stamp")
        return stamps.first.inner_text().lower()


class Superintendent(Reader):
    """Walks the house. `script` says whether the browser runs JavaScript."""

    def starts_the_walk(self) -> None:
        """Confirm the date of the walk."""
        self.opens("/")
        self.presses("Start today's walk")

    def picks_room(self, name: str) -> None:
        """By way of Rooms."""
        self.goes_to("Rooms")
        self.follows(name)

    def measures_stair(
        self,
        risers: Sequence[str],
        treads: Sequence[str],
        thickness: str,
        rest: dict[str, str] | None = None,
        first: bool = True,
    ) -> None:
        """Enter a stair and save it. `rest` are further fields by name.

        The first time the number of risers and treads has to be said; later it is known.
        """
        if first:
            self._says("open_riser")
        else:
            self._answers("open_riser", "yes")
        self._enters("riser", risers, counts=first)
        self._enters("tread", treads, counts=first)
        self._enters("tread_thickness", [thickness], counts=False)
        for name, text in (rest or {}).items():
            self._goes_to_slot(f"q-{name}")
            self._reading(f"q-{name}", text)
        self.saves_the_check()

    def saves_the_check(self) -> None:
        """On the keypad, where there is one; else on the bar above the places."""
        if self.script:
            pad = self.page.locator("#pad-save:visible, #pad-next:has-text('Save and see'):visible")
            self.taps += 1
            with self.page.expect_navigation():
                pad.first.click()
        else:
            self.presses("Save and see")

    def types_a_riser(self, number: int, text: str) -> None:
        """A riser by keypad, as far as the reading goes; nothing is saved."""
        self._goes_to_slot(f"q-riser-{number}")
        self._reading(f"q-riser-{number}", text)

    def waits_for_the_verdict(self, words: str) -> None:
        """Until the keypad says that of the reading in hand."""
        self.page.locator("#pad-verdict").filter(has_text=words).wait_for()

    def number_said(self) -> str:
        """The number of the item that was just opened: made here, or in the office."""
        self.page.locator("main").filter(has_text=NUMBER).wait_for()
        found = NUMBER.search(self.reads())
        assert found, self.reads()
        return found[0]

    def begins_an_item(self) -> None:
        """From a room, its form."""
        self.follows("Punch item")
        self.taps = 0

    def takes_photo(self, photo: Path) -> None:
        """The camera answers with a file; it counts as one tap."""
        self.taps += 1
        self.page.locator("#photo").set_input_files(photo)

    def chooses(self, words: str) -> None:
        """A big button of a form: a crew, a phrase."""
        self.taps_on(self.page.locator("form#item label").filter(has_text=words).first)

    def issues_todays_report(self) -> None:
        """By way of Reports."""
        self.goes_to("Reports")
        self.follows("Today’s report")
        self.taps_on(self.page.locator('form[action$="/issue"] button'))

    def _says(self, name: str) -> None:
        """The first question is answered by one tap on the keypad, or by its radio."""
        if self.script:
            self.taps_on(self.page.locator("#pad-answers button").filter(has_text="Yes"))
        else:
            self._answers(name, "yes")

    def _answers(self, name: str, value: str) -> None:
        radio = self.page.locator(f'input[name="q-{name}"][value="{value}"]')
        self.taps_on(radio.locator(".."))

    def _enters(self, name: str, texts: Sequence[str], counts: bool) -> None:
        self._goes_to_slot(f"q-{name}-1")
        before = ""
        for number, text in enumerate(texts, 1):
            if self.script and text == before:
                self._key("same")
            else:
                self._reading(f"q-{name}-{number}", text)
            before = text
        if counts:
            self.presses_that_is_all(name)

    def presses_that_is_all(self, name: str) -> None:
        """As many as were measured, no more."""
        self.taps_on(self.page.locator(f'button[value="all:{name}"]'))

    def _goes_to_slot(self, slot: str) -> None:
        if self.script:
            self.page.locator("body.keyed").wait_for()
            self.page.locator(f"#{slot}").click()

    def _reading(self, slot: str, text: str) -> None:
        if not self.script:
            self.page.locator(f"#{slot}").fill(text)
            return
        found = FRACTION.match(text)
        whole, fraction = found.groups() if found else (text, "")
        for digit in whole or "":
            self._key(digit)
        if fraction:
            self._key(fraction)

    def _key(self, key: str) -> None:
        """A tap where the key is: asking for the key itself would scroll the page under it."""
        self.taps += 1
        target = self.page.locator(f'#pad-keys [data-key="{key}"]')
        target.wait_for()
        box = target.bounding_box()
        assert box is not None, f"the key {key} is not on the keypad"
        self.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


class Crew(Reader):
    """A crew with its own list."""

    def __init__(self, page: Page, trade: str, script: bool = False) -> None:
        super().__init__(page, script)
        self.trade = trade

    def looks_at_its_list(self) -> None:
        """The list of this crew alone."""
        self.opens(f"/crews/{self.trade}")

    def marks_corrected(self, number: str) -> None:
        """One tap at the item."""
        item = self.page.locator(f"#i-{number}")
        self.taps_on(item.get_by_role("button", name="Corrected, come look"))
