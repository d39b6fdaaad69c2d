"""Registers the tag stage's own components with spaCy, with the attributes they set."""

from __future__ import annotations

from spacy.language import Language
from spacy.tokens import Doc

from buildlog.tag.clauses import clauses_component
from buildlog.tag.items import items_component
from buildlog.tag.mentions import mentions_component
from buildlog.tag.remarks import remarks_component
from buildlog.tag.techniques import techniques_component

for _name in ("clauses", "reader", "mentions", "items", "techniques"):
    Doc.set_extension(_name, default=None, force=True)

Language.component("clauses", func=clauses_component, assigns=["doc._.clauses"])
Language.component("mentions", func=mentions_component, assigns=["doc._.mentions"])
Language.component("remarks", func=remarks_component, requires=["doc._.notes"], assigns=["doc._.notes"])
Language.component("items", func=items_component, assigns=["doc._.items"])
Language.component("techniques", func=techniques_component, assigns=["doc._.techniques"])
