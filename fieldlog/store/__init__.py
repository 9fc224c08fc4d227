"""Folder of one house on disk: the journal, its folds, photos and files. SQL lives here only."""
