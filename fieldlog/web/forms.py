"""Forms: what every form carries. Parsing lengths is the shared parser's, never a form's."""

from __future__ import annotations

from typing import Any

from flask import current_app, session
from wtforms import Form, HiddenField
from wtforms.csrf.session import SessionCSRF


class FieldlogForm(Form):
    """Base of every form: CSRF by session, the entry's id, the last entry its author saw."""

    class Meta:
        csrf = True
        csrf_class = SessionCSRF
        # A stair takes longer than WTForms' 30 minutes when the phone rings: no expiry.
        csrf_time_limit = None

        @property
        def csrf_secret(self) -> bytes:
            key = current_app.secret_key
            assert isinstance(key, bytes)
            return key

        @property
        def csrf_context(self) -> Any:
            return session

    entry_id = HiddenField()
    seen = HiddenField()


def csrf_token() -> str:
    """The token for a plain form (`marks.tokens()` writes it)."""
    token: Any = FieldlogForm()["csrf_token"]  # a CSRFTokenField, which [] does not say
    return str(token.current_token)
