"""Pages: a view is form, `to_input()`, intake, redirect. Flask lives here, in app and in cli."""
