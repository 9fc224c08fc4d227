"""The scripts as they are sent: modules that go together are one file.

`static/js/` is written one job a file. Sent so, a page would ask for dozens of files one after
another, each too small to be compressed well. Here heads and all that they import become one
script, sent at the first head's address: one scope, in which every name that modules have at their
top stands once, and from which other files import what they use. Only the forms of import and
export that the tree uses are understood, and no name may stand twice; anything else is an error,
which `tests/web/test_packs.py` meets first.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

HEADS = (
    ("tablet/send.js", "tablet/filters.js", "tablet/line.js", "tablet/lock.js", "tablet/shown.js"),
    ("tablet/forms.js", "tablet/preview_here.js"),
    ("keyed.js", "draft.js", "floor_map.js", "keypad.js", "preview.js", "slots.js",
     "stops.js", "told_tests.js"),
    ("tablet/giving.js", "tablet/verdict_shown.js"),
)  # fmt: skip
"""What is sent as one, at its first name: on every page, where there is a form, at a keypad, for a
check that is kept.
A module belongs to the first that needs it. What a page names itself stays a file of its own, so
that a pack does nothing by being loaded."""

_IMPORT = re.compile(
    r'^import\s*(?:\{(?P<names>[^}]*)\}|\*\s+as\s+(?P<all>\w+))\s*from\s*"(?P<path>[^"]+)";\n', re.M
)
_LATER = re.compile(r'\bimport\("(?P<path>[^"]+)"\)')
_EXPORTED = re.compile(r"^export\s+(?:async\s+)?(?:function|const|class)\s+(\w+)", re.M)
_LISTED = re.compile(r"^export\s*\{(?P<names>[^}]*)\};\n", re.M)
_EXPORT = re.compile(r"^export\s+(?=async|function|const|class)", re.M)
_LEFT = re.compile(r"^(?:import|export)\b(?!\().*", re.M)
_TOP = re.compile(
    r"^(?:export\s+)?(?:(?:async\s+)?function|const|let|class)\s+"
    r"(?:(?P<name>\w+)|(?P<pattern>[{\[][^=]*))",
    re.M,
)
_NAME = re.compile(r"(\w+)\s*(?=[,}\]])")
_PACK = "{imports}export const [{given}] = (() => {{\n{text}return [{given}];\n}})();\n"


class NotPacked(ValueError):
    """A module imports or exports in a way that is not known here, in a circle, or a name twice."""


@dataclass(frozen=True)
class Packs:
    """`files`: what is sent, by path below `js/`. `home`: in which of them each module is.
    `tops`: the names that each pack's scope has."""

    files: dict[str, str]
    home: dict[str, str]
    tops: dict[str, set[str]]


def packed(modules: Mapping[str, str]) -> Packs:
    """Every module, by path below `js/`, in one of the files that are sent. Raises NotPacked."""
    home: dict[str, str] = {}
    members: dict[str, list[str]] = {}
    for heads in HEADS:
        members[heads[0]] = _members(modules, heads, home)
        home.update(dict.fromkeys(members[heads[0]], heads[0]))
    home |= {path: path for path in modules if path not in home}
    files = {head: _together(modules, home, head, some) for head, some in members.items()}
    files |= {path: _alone(modules, home, path) for path in modules if home[path] not in members}
    tops = {head: set(_tops(modules, home, head, some)) for head, some in members.items()}
    return Packs(files, home, tops)


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


def _together(
    modules: Mapping[str, str], home: Mapping[str, str], head: str, members: list[str]
) -> str:
    """A pack: what it imports of others, its modules' text in one scope, what others import."""
    needs = {
        file: sorted({name for path in members for name in _taken(modules, home, path, file)})
        for file in dict.fromkeys(home.values())
        if file != head
    }
    imports = _imports(head, needs)
    text = "".join(_body(modules, home, head, path) for path in members)
    return _PACK.format(imports=imports, text=text, given=", ".join(_given(modules, home, head)))


def _tops(
    modules: Mapping[str, str], home: Mapping[str, str], head: str, members: list[str]
) -> dict[str, str]:
    """Which module of a pack has each name of its scope. Raises NotPacked for one that two have."""
    tops: dict[str, str] = {}
    for path in members:
        for file in set(home.values()) - {head}:
            tops |= dict.fromkeys(_taken(modules, home, path, file), file)
    for path in members:
        for name in _own(modules[path]):
            if name in tops:
                raise NotPacked(f"{name} stands in {tops[name]} and in {path}: rename one.")
            tops[name] = path
    return tops


def _own(text: str) -> Iterator[str]:
    """Names that a module declares at its top, a whole module that it imports among them."""
    for found in _TOP.finditer(text):
        yield from [found["name"]] if found["name"] else _NAME.findall(found["pattern"])
    yield from (found["all"] for found in _IMPORT.finditer(text) if found["all"])


def _taken(
    modules: Mapping[str, str], home: Mapping[str, str], path: str, file: str
) -> Iterator[str]:
    """What a module imports of those in a file."""
    for found in _IMPORT.finditer(modules[path]):
        named = _named(modules, path, found)
        if home[named] == file:
            yield from _split(found["names"]) if found["names"] else _exports(modules[named])


def _given(modules: Mapping[str, str], home: Mapping[str, str], head: str) -> list[str]:
    """What files beyond a pack import of it, now or later."""
    others = [path for path in modules if home[path] != head]
    names = {name for path in others for name in _taken(modules, home, path, head)}
    for path in others:
        for found in _LATER.finditer(modules[path]):
            named = _named(modules, path, found)
            names |= set(_exports(modules[named])) if home[named] == head else set()
    return sorted(names)


def _body(modules: Mapping[str, str], home: Mapping[str, str], head: str, path: str) -> str:
    """A module's text for its pack's scope: without imports and exports."""

    def whole(found: re.Match[str]) -> str:
        names = _exports(modules[_named(modules, path, found)])
        return f"const {found['all']} = {{ {', '.join(names)} }};\n" if found["all"] else ""

    text = _later(modules, home, head, path, _IMPORT.sub(whole, modules[path]))
    text = _EXPORT.sub("", _LISTED.sub("", text))
    if left := _LEFT.search(text):
        raise NotPacked(f"{path}: this is not understood: {left[0]}")
    return text


def _alone(modules: Mapping[str, str], home: Mapping[str, str], path: str) -> str:
    """A page's own script: one import of each file that is sent, and what it does in a block, whose
    names are its own and may be shortened. What it gives to others stays outside of one."""
    needs: dict[str, list[str]] = {}
    for found in _IMPORT.finditer(modules[path]):
        if found["all"]:
            raise NotPacked(f"{path}: a page's own script imports by name: {found[0]}")
        needs.setdefault(home[_named(modules, path, found)], []).extend(_split(found["names"]))
    imports = _imports(path, needs)
    text = _later(modules, home, path, path, _IMPORT.sub("", modules[path]))
    return imports + (text if _exports(text) else f"{{\n{text}}}\n")


def _imports(here: str, needs: Mapping[str, list[str]]) -> str:
    return "".join(
        f'import {{ {", ".join(names)} }} from "{_way(here, file)}";\n'
        for file, names in needs.items()
        if names
    )


def _later(
    modules: Mapping[str, str], home: Mapping[str, str], here: str, path: str, text: str
) -> str:
    return _LATER.sub(
        lambda found: f'import("{_way(here, home[_named(modules, path, found)])}")', text
    )


def _way(here: str, file: str) -> str:
    way = posixpath.relpath(file, posixpath.dirname(here) or ".")
    return way if way.startswith("../") else f"./{way}"


def _exports(text: str) -> list[str]:
    listed = (name for found in _LISTED.finditer(text) for name in _split(found["names"]))
    return [*_EXPORTED.findall(text), *listed]


def _split(names: str) -> list[str]:
    return [name.strip() for name in names.split(",") if name.strip()]
