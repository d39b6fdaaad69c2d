"""Aliases and meanings said aloud."""

from __future__ import annotations

from notes_cases import cases, parsed

from buildlog.tag.notes.glossary import find_aliases, find_definitions, glossary, is_definition


def test_sentences() -> None:
    for case in cases("glossary"):
        doc = parsed(case["text"])
        assert [[a.name, a.alias] for a in find_aliases(doc)] == case["aliases"], case["text"]
        assert [[d.name, d.text] for d in find_definitions(doc)] == case["definitions"], case["text"]


def test_tokens_of_name_and_alias() -> None:
    doc = glossary(parsed("I sewed a running stitch, some call it a gathering stitch here."))
    (alias,) = doc._.aliases
    assert doc[alias.start : alias.end].text == "running stitch"
    assert doc[alias.alias_start : alias.alias_end].text == "gathering stitch"


def test_is_definition() -> None:
    assert is_definition(next(parsed("Basting, that's just long stitches you take out later.").sents))
    assert not is_definition(next(parsed("I basted it with long stitches.").sents))
