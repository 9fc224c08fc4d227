"""`python -m fieldlog` is `fieldlog`."""

from __future__ import annotations

from fieldlog.cli import main

if __name__ == "__main__":
    main()
