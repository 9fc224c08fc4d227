"""Reports: facts gathered from the folds, then rendered as HTML or text."""
