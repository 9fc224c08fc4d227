"""The scripts as they are sent: modules that go together are one file.

`static/js/` is written one job a file. Sent so, a page would ask for dozens of files one after
another, each too small to be compressed well. Here a head and all that it imports become one
script, sent at the head's address: every module in it is a function's scope, and what others use
of it is an object `m<number>` that they import. Only the forms of import and export that the tree
uses are understood; anything else is an error, which `tests/web/test_packs.py` meets first.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

HEADS = (
    ("tablet/send.js", "tablet/line.js", "tablet/lock.js", "tablet/shown.js"),
    ("tablet/forms.js", "tablet/preview_here.js"),
    ("keyed.js", "draft.js", "floor_map.js", "keypad.js", "preview.js", "slots.js",
     "stops.js", "told_tests.js"),
)  # fmt: skip
"""What is sent as one, at its first name: on every page, where there is a form, at a keypad.
A module belongs to the first that needs it. What a page names itself stays a file of its own, so
that a pack does nothing by being loaded."""

_IMPORT = re.compile(
    r'^import\s*(?:\{(?P<names>[^}]*)\}|\*\s+as\s+(?P<all>\w+))\s*from\s*"(?P<path>[^"]+)";\n', re.M
)
_LATER = re.compile(r'\bimport\("(?P<path>[^"]+)"\)')
_EXPORTED = re.compile(r"^export\s+(?:async\s+)?(?:function|const|class)\s+(\w+)", re.M)
_LISTED = re.compile(r"^export\s*\{(?P<names>[^}]*)\};\n", re.M)
_EXPORT = re.compile(r"^export\s+(?=async|function|const|class)", re.M)
_LEFT = re.compile(r"^(?:import|export)\b.*", re.M)
_SCOPE = "const {name} = (() => {{\n{text}\nreturn {{ {gives} }};\n}})();\n"


class NotPacked(ValueError):
    """A module imports or exports in a way that is not known here, or in a circle."""


@dataclass(frozen=True)
class Packs:
    """`files`: what is sent, by path below `js/`. `home`: in which of them each module is."""

    files: dict[str, str]
    home: dict[str, str]
    names: dict[str, str]


def packed(modules: Mapping[str, str]) -> Packs:
    """Every module, by path below `js/`, in one of the files that are sent. Raises NotPacked."""
    home: dict[str, str] = {}
    packs: dict[str, list[str]] = {}
    for heads in HEADS:
        members = _members(modules, heads, home)
        packs[heads[0]] = members
        home.update(dict.fromkeys(members, heads[0]))
    alone = [path for path in modules if path not in home]
    home.update({path: path for path in alone})
    names = {path: f"m{n}" for n, path in enumerate(sorted(modules))}
    used = set(_used(modules))
    files = {
        head: _Written(modules, home, names, head).together(members, used)
        for head, members in packs.items()
    }
    files |= {path: _Written(modules, home, names, path).alone() for path in alone}
    return Packs(files, home, names)


def _members(
    modules: Mapping[str, str], heads: tuple[str, ...], home: Mapping[str, str]
) -> list[str]:
    """The heads and what they import, each behind what it needs; not what another pack has."""
    into: list[str] = []

    def gather(path: str, above: tuple[str, ...]) -> None:
        if path in above:
            raise NotPacked(f"{path} and {above[-1]} stand in a circle: move what both need out.")
        if path in into or path in home:
            return
        for found in _IMPORT.finditer(modules[path]):
            gather(_named(modules, path, found), (*above, path))
        into.append(path)

    for head in heads:
        gather(head, ())
    return into


def _named(modules: Mapping[str, str], path: str, found: re.Match[str]) -> str:
    """The module that an import of `path` names."""
    named = posixpath.normpath(posixpath.join(posixpath.dirname(path), found["path"]))
    if named not in modules:
        raise NotPacked(f"{path} imports {found['path']}, and there is no such module.")
    return named


def _used(modules: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Each export that another module imports, as (module, name)."""
    for path, text in modules.items():
        for found in _IMPORT.finditer(text):
            named = _named(modules, path, found)
            listed = _split(found["names"]) if found["names"] else _exports(modules[named])
            yield from ((named, name) for name in listed)
        for found in _LATER.finditer(text):
            named = _named(modules, path, found)
            yield from ((named, name) for name in _exports(modules[named]))


def _exports(text: str) -> list[str]:
    listed = (name for found in _LISTED.finditer(text) for name in _split(found["names"]))
    return [*_EXPORTED.findall(text), *listed]


def _split(names: str) -> list[str]:
    return [name.strip() for name in names.split(",") if name.strip()]


class _Written:
    """One file that is sent, as it is being written: `needs` is what it imports of others."""

    def __init__(
        self, modules: Mapping[str, str], home: Mapping[str, str], names: Mapping[str, str],
        here: str,
    ) -> None:  # fmt: skip
        self.modules, self.home, self.names, self.here = modules, home, names, here
        self.needs: dict[str, set[str]] = {}

    def together(self, members: list[str], used: set[tuple[str, str]]) -> str:
        """A pack: each module as a scope, and then what other files may import."""
        scopes = ""
        for path in members:
            text = self._without_exports(path, self._without_imports(path))
            gives = ", ".join(n for n in _exports(self.modules[path]) if (path, n) in used)
            scopes += _SCOPE.format(name=self.names[path], text=text, gives=gives)
        told = ", ".join(self.names[path] for path in members)
        return f"{self._imports()}{scopes}export {{ {told} }};\n"

    def alone(self) -> str:
        """A page's own script, which nothing but the page and tests import."""
        text = self._without_imports(self.here)
        return self._imports() + text

    def _without_imports(self, path: str) -> str:
        text = _IMPORT.sub(self._each(path, self._taken), self.modules[path])
        return _LATER.sub(self._each(path, self._later), text)

    def _each(
        self, path: str, told: Callable[[str, re.Match[str]], str]
    ) -> Callable[[re.Match[str]], str]:
        return lambda found: told(_named(self.modules, path, found), found)

    def _taken(self, module: str, found: re.Match[str]) -> str:
        if self._is_alone(module):
            return found[0]
        if self.home[module] != self.here:
            self.needs.setdefault(self.home[module], set()).add(self.names[module])
        what = found["all"] or f"{{{found['names']}}}"
        return f"const {what} = {self.names[module]};\n"

    def _later(self, module: str, found: re.Match[str]) -> str:
        if self._is_alone(module):
            return found[0]
        return f'import("{self._way(module)}").then((pack) => pack.{self.names[module]})'

    def _is_alone(self, module: str) -> bool:
        return self.home[module] == module and module not in {heads[0] for heads in HEADS}

    def _way(self, module: str) -> str:
        way = posixpath.relpath(self.home[module], posixpath.dirname(self.here) or ".")
        return way if way.startswith("../") else f"./{way}"

    def _imports(self) -> str:
        return "".join(
            f'import {{ {", ".join(sorted(names))} }} from "{self._way(file)}";\n'
            for file, names in sorted(self.needs.items())
        )

    def _without_exports(self, path: str, text: str) -> str:
        text = _EXPORT.sub("", _LISTED.sub("", text))
        if left := _LEFT.search(text):
            raise NotPacked(f"{path}: this is not understood: {left[0]}")
        return text
