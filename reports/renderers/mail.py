"""Papers as the draft of a mail: the text in its body, the PDF attached; who gets it is filled in by who sends it."""

from __future__ import annotations

from collections.abc import Sequence
from email.message import EmailMessage
from email.policy import SMTP

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from reports.document import Document, Paper
from reports.renderers.pdf import pdf_form
from reports.renderers.text import text_form

_COLUMNS = 72
"""Of the body, so that it still fits where it is quoted. Source: RFC 3676, 4.2 (from memory)."""


def mail_form(documents: Sequence[Document], paper: Paper = "a4") -> bytes:
    """Papers as a message (RFC 5322) without sender, recipient or date, which mail programs open as a draft.

    Args:
        documents: at least one; the subject names the first one's.
        paper: the size of the PDF's pages.

    Raises: PdfNotInstalledError where no PDF can be made here.
    """
    first = documents[0]
    message = EmailMessage(policy=SMTP)
    title, shop, job = (cleaned(text) for text in (first.title, first.shop, first.job))
    message["Subject"] = say("handing_over.mail.subject", title=title, shop=shop)
    # No standard has a header for drafts; several programs know this one (common practice, no source).
    message["X-Unsent"] = "1"
    message["Content-Language"] = first.language
    message.set_content(text_form(documents, _COLUMNS), charset="utf-8", cte="quoted-printable")
    name = "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in job)[:60].strip(".-") or "job"
    message.add_attachment(pdf_form(documents, paper), maintype="application", subtype="pdf", filename=f"{name}.pdf")
    return message.as_bytes()
