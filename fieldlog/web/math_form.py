"""A calculation as a form: a plain text field for every input, errors at each, the answer.

As with sheets, WTForms renders and carries; the calculation's own parser does all validation.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from flask import request
from wtforms import StringField

from fieldlog.calc.calculations import Calculation, Input, Reference, run
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.store.calc_files import load_reference
from fieldlog.web import request as at
from fieldlog.web.saving import EntryForm, posted, tidy

PREFIX = "i-"
LISTS = ("lengths", "numbers", "counts", "names")
UNITS = {"percent": "%", "angle": "degrees", "temperature": "F or C", "lengths": "length"}
BIG = {"area": ("sq ft", "m2"), "volume": ("cu ft", "m3")}


@dataclass(frozen=True)
class Ask:
    """One input as the page shows it."""

    name: str
    spec: Input
    text: str
    unit: str
    errors: tuple[str, ...]
    suggestions: tuple[str, ...]
    choices: tuple[str, ...]
    is_list: bool


class MathForm(EntryForm):
    """What every calculation's form has beside its inputs."""

    keep = StringField()


@dataclass
class Work:
    """One calculation being worked out."""

    calculation: Calculation
    form: MathForm
    suggestions: dict[str, tuple[str, ...]] = field(default_factory=dict)
    told: dict[str, Any] | None = None

    @classmethod
    def of(cls, calculation: Calculation, start: dict[str, str]) -> Work:
        """The form as posted, else with `start` in its inputs."""
        kind = _class_of(calculation.name, tuple(i.name for i in calculation.inputs))
        data = {PREFIX + name: text for name, text in start.items()}
        made = cls(calculation, kind(posted(), data=data))
        name, _, text = request.form.get("use", "").partition(":")
        if calculation.input(name):
            made.form[PREFIX + name].data = text
        if not made.form.entry_id.data:
            made.form.fresh()
        return made

    @property
    def raw(self) -> dict[str, str]:
        """What stands in the inputs, blanks left out."""
        texts = ((i.name, tidy(self.form[PREFIX + i.name].data)) for i in self.calculation.inputs)
        return {name: text for name, text in texts if text}

    @property
    def complete(self) -> bool:
        """Whether every input that it needs is filled in."""
        raw = self.raw
        return bool(raw) and all(i.name in raw for i in self.calculation.inputs if i.required)

    def compute(self) -> bool:
        """Work it out; False where an input can't be used, and the form says which and why."""
        system = at.house().system
        try:
            self.told = run(self.calculation.name, self.raw, system, reference())
        except ReadingsRefused as refused:
            self._place(refused)
        except UnknownSource as err:
            self._blame(str(err))
        return self.told is not None

    def asks(self, required: bool) -> list[Ask]:
        """The inputs that it needs, or the others."""
        return [self._ask(i) for i in self.calculation.inputs if i.required == required]

    def _ask(self, spec: Input) -> Ask:
        found = self.form[PREFIX + spec.name]
        choices = ("yes", "no") if spec.kind == "yes_no" else spec.choices
        return Ask(
            found.name, spec, str(found.data or ""), _unit(spec, at.house().system),
            tuple(str(e) for e in found.errors), self.suggestions.get(spec.name, ()), choices,
            spec.kind in LISTS,
        )  # fmt: skip

    def _place(self, refused: ReadingsRefused) -> None:
        for error in refused.errors:
            name = PREFIX + error.field
            if name not in self.form:
                self.form.form_errors.append(error.message)
                continue
            where = "" if error.index is None else f"Number {error.index + 1}: "
            told = self.form[name]
            told.errors = [*told.errors, where + error.message]
            if error.index is None:
                self.suggestions[error.field] = error.suggestions

    def _blame(self, sentence: str) -> None:
        """A book, tool or species that is not there: at the input that names it."""
        named = [i for i in self.calculation.inputs if i.name in ("books", "tool", "species")]
        for spec in named:
            typed = (part.strip() for part in self.raw.get(spec.name, "").split(","))
            if any(part and part in sentence for part in typed):
                self.form[PREFIX + spec.name].errors = [sentence]
                return
        self.form.form_errors.append(sentence)


def reference() -> Reference:
    """What calculations look things up in, with the house's own files."""
    return load_reference(at.folder(), at.library())


@lru_cache(maxsize=64)
def _class_of(name: str, inputs: tuple[str, ...]) -> type[MathForm]:
    fields = {PREFIX + one: StringField(filters=[tidy]) for one in inputs}
    return type(f"MathForm_{name.replace('-', '_')}", (MathForm,), fields)


def _unit(spec: Input, system: str) -> str:
    """The unit that holds where none is typed, to stand beside the input."""
    metric = system == "metric"
    if spec.kind in ("length", "lengths"):
        return "mm" if metric else spec.unit
    if spec.kind in BIG:
        return BIG[spec.kind][metric]
    return UNITS.get(spec.kind, "")
