"""The shape of a limit's formula: what it hangs on, and whether one riser can be asked about it."""

from __future__ import annotations

from fieldlog.calc.books import BoundRule
from fieldlog.calc.expressions import Tree
from fieldlog.calc.sheets import Sheet

RISER, THICKNESS, HEADROOM = "riser", "tread_thickness", "headroom"
SO_FAR = "_so_far"
# what a formula takes from all risers and one riser can't say: a name of its own for each
_WHOLE = {"running": SO_FAR, "sum": "_sum", "mean": "_mean", "last_place": "_is_last"}
# functions that take their lists place by place; one that is not named here is left to the judge
_EACH = {
    "prefer", "choose", "known", "given", "answered", "most", "least", "same", "step_above",
    "edge_gap", "hypot", "leg", "angle_of", "steps", "limit",
}  # fmt: skip


def tree_of(sheet: Sheet, name: str) -> Tree:
    """A quantity written out in fields, with names of their own for what is of all risers."""
    derived = sheet.derived_of(name)
    return ["q", name] if derived is None else written_out(sheet, derived.tree)


def written_out(sheet: Sheet, tree: Tree) -> Tree:
    """A formula in fields, where derived quantities are put in for their names."""
    if tree[0] == "f" and tree[1] in _WHOLE and tree[2:] == [["q", RISER]]:
        return ["q", _WHOLE[tree[1]]]
    if tree[0] == "q":
        return tree_of(sheet, tree[1])
    return [written_out(sheet, part) if isinstance(part, list) else part for part in tree]


def hangs_on(tree: Tree, name: str) -> bool:
    """Whether a written-out formula has that field in it."""
    if tree == ["q", name]:
        return True
    return any(hangs_on(part, name) for part in tree[1:] if isinstance(part, list))


def of_each(tree: Tree) -> bool:
    """Whether a written-out formula takes its lists place by place, and so holds for one place."""
    if tree[0] == "f":
        of_lists = tree[1] not in _EACH and not (tree[1] in ("max", "min") and len(tree) > 3)
        if of_lists:
            return False
    return all(of_each(part) for part in tree[1:] if isinstance(part, list))


def only_headroom(sheet: Sheet, bound: BoundRule) -> bool:
    """Whether a limit hangs on the headroom and on no riser or tread."""
    trees = [tree_of(sheet, bound.rule.quantity)]
    if bound.when is not None:
        trees.append(written_out(sheet, bound.when))
    risers = any(hangs_on(t, name) for t in trees for name in (RISER, THICKNESS))
    return hangs_on(trees[0], HEADROOM) and not risers


def changed_by_plans(sheet: Sheet, bound: BoundRule) -> bool:
    """Whether a limit can be met or broken by what is done to treads.

    The rise of the flight and its pitch hang on the sum of the risers, which no plan changes.
    """
    trees = [tree_of(sheet, bound.rule.quantity)]
    if bound.when is not None:
        trees.append(written_out(sheet, bound.when))
    return any(hangs_on(t, name) for t in trees for name in (RISER, THICKNESS, HEADROOM))
