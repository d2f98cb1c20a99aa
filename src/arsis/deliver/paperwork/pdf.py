"""Pages on paper, where the library for it is installed."""

from __future__ import annotations

from functools import cache
from typing import Any


def pdf_of(html: str) -> bytes | None:
    """The page as PDF, the same bytes for the same page and the same fonts; None without the extra `pdf`.

    No date and no random number goes into it: WeasyPrint writes a date only where the page names one, and
    here no identifier is asked for.
    """
    weasyprint = _library()
    if weasyprint is None:
        return None
    # A base that leads nowhere: a page names nothing to fetch.
    made: bytes = weasyprint.HTML(string=html, base_url=None, url_fetcher=_refused).write_pdf()
    return made


def without_pdf() -> str | None:
    """What is to be said where no PDF can be made; None where it can."""
    if _library() is None:
        return "the sheets are not made as PDF: the extra `pdf` is not installed (pip install 'arsis[pdf]')"
    return None


@cache
def _library() -> Any:
    try:
        import weasyprint
    except (ImportError, OSError):  # OSError: it is there, but not the system's text library it draws with
        return None
    return weasyprint


def _refused(url: str, *_: object, **__: object) -> Any:
    raise ValueError(f"a sheet fetches nothing, and not {url}")
