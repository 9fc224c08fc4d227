"""Error pages in the book's look: what happened, where, what to do. Never a stack trace."""

from __future__ import annotations

import sqlite3

from flask import Flask, render_template, request
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge
from werkzeug.http import HTTP_STATUS_CODES

from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.db import HouseBusy, HouseMissing, HouseTooNew, NotStored
from fieldlog.web.request import folder

BUSY_TODO = "What you typed was not saved. Stop the other one, go back, and send it again."
DISK_TODO = (
    "Nothing was half saved. Look whether the disk is full or the folder was moved, go back, and "
    "send it again."
)
FILE_TODO = "Mend that line and load this page again. Nothing that was entered is touched by it."
MEGABYTE = 1024 * 1024
HEADS = {
    400: "Not understood",
    403: "Not saved",
    404: "No such page",
    405: "Not done that way",
    409: "It has changed meanwhile",
    413: "Too large",
    422: "Something is not right yet",
    500: "A fault in fieldlog",
    503: "This house is open elsewhere",
}
SENTENCES = {
    400: "What the browser sent could not be read.",
    403: "This page may not do that here.",
    404: "There is nothing in the book at this address.",
    405: "This address is only used by a form's button.",
    409: "Someone changed this while the page was open.",
    422: "What was entered could not be kept as it is.",
    500: "The page could not be made. An entry is kept whole or not at all: none is half saved.",
}
WHAT_TO_DO = {
    400: "Go back, look at what was typed, and send it again.",
    403: "Go back and load the page again. What you typed is still in it.",
    404: "Pick a place below, or go back.",
    405: "Open the page of the room or item, and use the button there.",
    409: "Go back, load the page again, and look at what is new before you send.",
    413: "Go back, leave some photos out, and send the rest in a second turn.",
    422: "Go back: what you typed is still there.",
    500: "Go back and try once more. If it happens again, fieldlog's own terminal says why.",
}


def install(app: Flask) -> None:
    """Every HTTP error, and every fault, becomes a page of the book."""

    @app.errorhandler(HTTPException)
    def http_error(err: HTTPException) -> tuple[str, int]:
        code = err.code or 500
        return page(code, _sentence(app, err, code)), code

    @app.errorhandler(HouseMissing)
    def no_house(_err: HouseMissing) -> tuple[str, int]:
        return render_template("walk/no_house.html", folder=folder()), 404

    @app.errorhandler(HouseBusy)
    def busy(err: HouseBusy) -> tuple[str, int]:
        return page(503, str(err), BUSY_TODO), 503

    @app.errorhandler(HouseTooNew)
    def too_new(err: HouseTooNew) -> tuple[str, int]:
        return page(500, str(err), "Nothing was changed."), 500

    @app.errorhandler(NotStored)
    @app.errorhandler(sqlite3.OperationalError)
    @app.errorhandler(OSError)
    def not_written(err: Exception) -> tuple[str, int]:
        app.logger.exception("on %s", request.path)
        return page(500, f"The house's folder could not be used. {err}", DISK_TODO), 500

    @app.errorhandler(DataFileError)
    def faulty_file(err: DataFileError) -> tuple[str, int]:
        return page(500, f"A file of this house does not load. {err}", FILE_TODO), 500


def page(code: int, sentence: str, todo: str = "") -> str:
    """The error page for a status code; `sentence` says what and where."""
    return render_template(
        "error.html",
        code=code,
        head=HEADS.get(code) or HTTP_STATUS_CODES.get(code, "Error"),
        sentence=sentence,
        todo=todo or WHAT_TO_DO.get(code, "Go back and try again."),
        where=request.path,
    )


def _sentence(app: Flask, err: HTTPException, code: int) -> str:
    """The view's own sentence where it gave one, else ours; never the library's."""
    if isinstance(err, RequestEntityTooLarge):
        limit = app.config["MAX_CONTENT_LENGTH"] // MEGABYTE
        return f"What was sent is more than this page takes ({limit} MB), so none of it was kept."
    own = err.description or ""
    if code != 500 and own and own != type(err).description:
        return own
    return SENTENCES.get(code, "The page could not be shown.")
