"""A house at its three doors, and who comes to them: tablets, crews, an owner, strangers."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass, field
from typing import Any

from flask import Flask
from web_cast import Page, Person, SmallHouse

from fieldlog import tls
from fieldlog.app import create_app
from fieldlog.config import Config, Front, Lan
from fieldlog.web.request import KEY

NAME = "fieldlog-7k2m.local"
BASES = {
    "machine": "http://127.0.0.1:8321",
    "tls": f"https://{NAME}:8443",
    "plain": f"http://{NAME}:8322",
}


@dataclass
class Visitor(Person):
    """A browser that comes to one door, from an address of its own."""

    base: str = BASES["machine"]
    address: str = "127.0.0.1"

    def _options(self, options: dict[str, Any]) -> dict[str, Any]:
        over = {"REMOTE_ADDR": self.address}
        return {"base_url": self.base, "environ_overrides": over, "buffered": True, **options}

    def opens(self, path: str, **options: Any) -> Page:
        return super().opens(path, **self._options(options))

    def sends(self, path: str, data: Any, follow: bool = True, **options: Any) -> Page:
        return super().sends(path, data, follow, **self._options(options))

    def asks(self, method: str, path: str) -> Page:
        """By any method, with nothing in it; redirects are not followed."""
        return Page(self.client.open(path, method=method, **self._options({})))

    def posts(self, path: str, **values: str) -> Page:
        """Send values with a token and an entry id, as a form of this browser has them."""
        page = self.opens("/in" if "http://" in self.base else "/pair")
        if self.base == BASES["machine"]:
            page = self.opens("/")
        fields = page.fields
        own = {name: fields[name] for name in ("csrf_token", "entry_id") if name in fields}
        return self.sends(path, own | values)


@dataclass
class LanHouse:
    """The small house with all three doors open."""

    small: SmallHouse
    apps: dict[str, Flask] = field(default_factory=dict)

    def __post_init__(self) -> None:
        held = self.small.app.extensions[KEY]
        lan = Lan(NAME, 8443, 8322, self.small.clock().replace(year=2028))
        base: Config = held.config
        tls.renew(base.folder, NAME, self.small.clock())
        fronts: tuple[Front, ...] = ("machine", "tls", "plain")
        for front in fronts:
            names = base.allowed_hosts if front == "machine" else (NAME,)
            its = dataclasses.replace(base, front=front, lan=lan, allowed_hosts=names)
            self.apps[front] = create_app(its, held)

    def comes(self, front: Front, address: str = "10.0.0.9") -> Visitor:
        """Somebody with a fresh browser at a door."""
        here = "127.0.0.1" if front == "machine" else address
        return Visitor(self.apps[front].test_client(), BASES[front], here)

    def at_machine(self) -> Visitor:
        """The superintendent at the machine itself."""
        return self.comes("machine")

    def code(self) -> str:
        """A pairing code, made at the machine."""
        page = self.at_machine().posts("/tablets/code")
        found = re.search(r"code-shown\">(\d{3}) (\d{3})<", page.html)
        assert found, page.text
        return found[1] + found[2]

    def tablet(self, name: str = "Kitchen") -> Visitor:
        """A paired tablet."""
        one = self.comes("tls")
        page = one.fills("/pair", code=self.code(), name=name)
        assert page.status == 200, page.text
        return one

    def link(self, trade: str = "") -> tuple[str, str]:
        """A fresh link of a crew, or of the owner: its code, and the page it stood on."""
        path = f"/links/crew/{trade}" if trade else "/links/letter"
        page = self.at_machine().fills(path)
        found = re.search(r"code-shown\">(\w{5}) (\w{5})<", page.html)
        assert found, page.text
        return found[1] + found[2], page.html

    def crew(self, trade: str) -> Visitor:
        """A crew's phone that came in by its link."""
        one = self.comes("plain")
        assert one.fills("/in", code=self.link(trade)[0]).status == 200
        return one

    def owner(self) -> Visitor:
        """The owner's phone that came in by the letters' link."""
        one = self.comes("tls", "10.0.0.77")
        assert one.fills("/in", code=self.link()[0]).status == 200
        return one

    def passed(self, trade: str) -> Visitor:
        """A paired tablet in a crew's hands; its number is 7391."""
        one = self.tablet("Passed one")
        fields = one.opens(f"/crews/{trade}").fields
        own = {name: fields[name] for name in ("csrf_token", "entry_id")}
        page = one.sends(f"/crews/{trade}/pass", own | {"pin": "7391"})
        assert page.status == 200, page.text
        return one
