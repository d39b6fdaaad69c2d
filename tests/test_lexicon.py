"""The lexicon: kinds of words from a list of its own, matching, techniques, the maker's words, speed of loading."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from buildlog import crafts
from buildlog.tag.lexicon import CLASS_KIND, Lexicon, singular

HERE = Path(__file__).parent
ROOT = HERE.parent
ITEM_KINDS = frozenset(crafts.ITEM_KINDS)


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return Lexicon.load()


def held() -> dict[str, list[str]]:
    """tests/words/kinds.txt: kind -> phrases."""
    kinds = {}
    for line in (HERE / "words" / "kinds.txt").read_text("utf-8").splitlines():
        if line and not line.startswith("#"):
            kind, _, phrases = line.partition("|")
            kinds[kind.strip()] = [p.strip() for p in phrases.split(",")]
    return kinds


def kind_of(lexicon: Lexicon, phrase: str) -> str | None:
    words = phrase.split()
    kind, sure = lexicon.classify(singular(words[-1]), words[:-1])
    return kind if sure >= 0.3 else None


def names(lexicon: Lexicon, sentence: str, lemmas: str | None = None) -> list[str]:
    """The longest term at each token of ``sentence``, from left to right."""
    texts = sentence.lower().split()
    given = lemmas.split() if lemmas else texts
    out, i = [], 0
    while i < len(texts):
        found = lexicon.terms_at(given, texts, i)
        if found:
            out.append(found[0].term.name)
            i = found[0].end
        else:
            i += 1
    return out


def test_kinds_of_held_words(lexicon: Lexicon) -> None:
    """Nine in ten of the craft words that were listed without a look at the craft files have the right kind."""
    right, wrong = 0, []
    for kind in ("material", "tool", "pattern", "reference"):
        for phrase in held()[kind]:
            got = kind_of(lexicon, phrase)
            right += got == kind
            if got != kind:
                wrong.append((phrase, kind, got))
    assert right + len(wrong) >= 150
    assert right / (right + len(wrong)) >= 0.9, wrong


def test_everyday_words_are_no_items(lexicon: Lexicon) -> None:
    everyday = held()["none"]
    assert len(everyday) >= 100
    assert [p for p in everyday if kind_of(lexicon, p) in ITEM_KINDS] == []


def test_held_techniques_are_known(lexicon: Lexicon) -> None:
    known = []
    for phrase in held()["technique"]:
        words = phrase.split()
        known.append(any(lexicon.technique_terms_at(words, words, i) for i in range(len(words))))
    assert sum(known) / len(known) >= 0.9


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("the bias bindings", "bias tape"),  # an alias, in the plural
        ("a rotary - cutter", "rotary cutter"),  # hyphen as a token
        ("a rotary-cutter", "rotary cutter"),  # hyphen inside one
        ("my bonefolder", "bone folder"),  # written as one word
        ("a tailor 's ham", "tailor's ham"),  # the possessive as a token
        ("the tailors ham", "tailor's ham"),
        ("aluminum foil", "aluminium foil"),  # American spelling
        ("two edge bevellers", "edge beveler"),
        ("a cabinet scraper", "card scraper"),
    ],
)
def test_ways_of_writing_meet(lexicon: Lexicon, said: str, name: str) -> None:
    assert name in names(lexicon, said)


def test_longest_first(lexicon: Lexicon) -> None:
    words = "waxed linen thread".split()
    found = lexicon.terms_at(words, words, 0)
    assert found[0].end == 3
    assert [m.end for m in found] == sorted((m.end for m in found), reverse=True)


def test_a_verb_form_is_no_tool(lexicon: Lexicon) -> None:
    """ "ironed" has the lemma of the tool; only techniques may be read from it."""
    kinds = {m.term.kind for m in lexicon.terms_at(["iron"], ["ironed"], 0)}
    assert kinds <= {"technique"}
    assert "tool" in {m.term.kind for m in lexicon.terms_at(["iron"], ["irons"], 0)}


@pytest.mark.parametrize(
    ("verb", "particle", "obj", "name"),
    [
        ("baste", None, "tape", "basting"),
        ("press", "open", "seam", "pressing open"),
        ("press", None, "seam", "pressing"),
        ("skive", "down", "end", "skiving"),
        ("set", None, "rivets", "setting rivets"),
        ("strip", None, "wire", "wire stripping"),
        ("temper", None, "chocolate", "tempering chocolate"),
        ("turn", None, "bowl", "turning"),
        ("glue", "up", None, "gluing"),
        ("miter", None, None, "mitring"),
    ],
)
def test_techniques_by_verb(lexicon: Lexicon, verb: str, particle: str | None, obj: str | None, name: str) -> None:
    term = lexicon.technique_for_verb(verb, particle, obj)
    assert term is not None
    assert term.name.startswith(name)


@pytest.mark.parametrize(
    ("verb", "obj"), [("cut", "fabric"), ("put", "lid"), ("set", "timer"), ("turn", "page"), ("think", None)]
)
def test_plain_verbs_show_no_technique(lexicon: Lexicon, verb: str, obj: str | None) -> None:
    assert lexicon.technique_for_verb(verb, None, obj) is None


def test_verbs_of_talk_are_not_of_making(lexicon: Lexicon) -> None:
    assert {"glue", "sand", "fold", "drill", "baste", "cut", "put"} <= lexicon.making_verbs
    assert not {"think", "love", "hope", "remember", "film", "subscribe", "want"} & lexicon.making_verbs
    assert {"think", "hope", "subscribe"} <= lexicon.talk_verbs
    assert lexicon.tool_verbs["iron"] == "iron"


def test_own_words_win() -> None:
    own = Lexicon.load({"slip board": "tool", "ham": "not_a_thing", "fizzling": "technique"})
    assert own.classify("board", ["slip"]) == ("tool", 1.0)
    assert own.classify("ham")[0] == "abstract"
    fizzled = own.technique_for_verb("fizzle")
    assert fizzled is not None
    assert fizzled.name == "fizzling"
    assert Lexicon.load().classify("ham")[0] == "tool"  # and stay with the one who said them


def test_ambiguous_words_say_what_decides(lexicon: Lexicon) -> None:
    for word in (
        "iron",
        "chalk",
        "snap",
        "batting",
        "file",
        "plane",
        "tack",
        "clip",
        "pin",
        "press",
        "brush",
        "glue",
        "tape",
    ):
        assert lexicon.decides[word]
    for word in ("chalk", "glue", "pin", "file"):
        term = lexicon.find(word)
        assert term is None or term.confidence < 0.9 or lexicon.decides[word]


def test_size_of_the_craft_files(lexicon: Lexicon) -> None:
    crafted = [t for t in lexicon.terms if t.kind in ITEM_KINDS]
    assert len(crafted) >= 2500
    assert sum(t.kind == "technique" for t in lexicon.terms) >= 500


def test_wordnet_table_is_small_and_of_known_classes() -> None:
    raw = crafts.wordnet_table()
    assert len(raw) <= 300 * 1024
    assert {k.partition(":")[0] for k in json.loads(raw)} <= set(CLASS_KIND)
    assert "Princeton" in (ROOT / "buildlog" / "crafts" / "WORDNET_LICENSE").read_text("utf-8")


@pytest.mark.skipif(not Path("/usr/share/wordnet/data.noun").exists(), reason="needs Debian's wordnet-base")
def test_wordnet_table_is_what_the_script_builds(tmp_path: Path) -> None:
    out = tmp_path / "wordnet.json"
    script = ROOT / "benchmarks" / "build_lexicon.py"
    subprocess.run([sys.executable, str(script), "--out", str(out)], check=True, capture_output=True)
    assert out.read_bytes() == crafts.wordnet_table()


def test_a_craft_file_needs_no_python() -> None:
    """Whatever file lies in the folder is read; its terms and techniques come out as written."""
    data = {
        "tool": {"hand": "spoon bit = duckbill bit, gimp?"},
        "technique": {"hand": "hooping: hoop, set > hoop | hooping?"},
    }
    terms = list(crafts.entries("coopering", data))
    assert [t.names for t in terms] == [("spoon bit", "duckbill bit"), ("gimp",)]
    assert terms[1].doubtful == {"gimp"}
    technique = next(crafts.techniques("coopering", data))
    assert [(v.verb, v.particle, v.objects) for v in technique.verbs] == [
        ("hoop", None, frozenset()),
        ("set", None, frozenset({"hoop"})),
    ]


def test_loading_pulls_in_no_spacy() -> None:
    """The lexicon serves the command line too: it must not import the English pipeline."""
    code = "import sys; from buildlog.tag.lexicon import Lexicon; Lexicon.load(); sys.exit('spacy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
