"""Amounts said aloud: the spaCy component ``amounts`` sets ``doc._.amounts``.

The words are read token by token, so that lower-case speech without punctuation reads like any other; tags only
break ties. :class:`Amount` says what was found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from spacy.language import Language
from spacy.tokens import Doc as _Doc

from buildlog.tag.amounts.amount import MEASURED, Amount
from buildlog.tag.amounts.reader import Reader

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.tag.reader import Reading

_Doc.set_extension("amounts", default=None, force=True)


def read(doc: Doc, reading: Reading | None = None) -> list[Amount]:
    """The amounts said in ``doc``, in order; ``reading`` is the trained reader's, where there is one."""
    reader = Reader(doc)
    reader.reading = reading
    return reader.read()


@Language.component("amounts", assigns=["doc._.amounts"])  # type: ignore[untyped-decorator]
def amounts(doc: Doc) -> Doc:
    """Set ``doc._.amounts``."""
    doc._.amounts = read(doc, doc._.reader if _Doc.has_extension("reader") else None)
    return doc


__all__ = ["MEASURED", "Amount", "amounts", "read"]
