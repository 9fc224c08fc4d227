"""Pure computation: lengths, expressions, verdicts, folds of items, floors.

In here there is no Flask, SQL, file, clock, network or randomness, and no import from any
other part of fieldlog. Loaders take text; `tests/test_layers.py` holds the rule.
"""
