"""The demo: an invented house, entered through the same intake as a tablet's entries.

`seed` reads the files, `dates` moves their days so that the last walk is today, `load` enters
them, `photos` draws what the photos show, `told` says in a short table what came of it. Nothing
here reads a clock: the time is passed in.
"""
