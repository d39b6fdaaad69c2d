"""What words mean in a workshop: craft terms, kinds of things, techniques and verbs of doing.

Curated craft files come first, then the head noun of a compound ("walnut veneer"), then the shape of the word
("rounder"), then a table of classes built from WordNet. Nothing here looks at a sentence: the pipeline's components do.
"""

from __future__ import annotations

import functools
import gc
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import msgspec
from msgspec.structs import replace

from buildlog import crafts as craft_data

Verbs = dict[str, list[tuple[craft_data.VerbPattern, "Term"]]]  # verb lemma -> what it may show
Node = dict[str, Any]  # word -> Node; the key "" holds the list of terms that end here

CURATED, DOUBTFUL, OWN = 0.95, 0.6, 1.0
# What a WordNet class amounts to here. Classes that are no items keep their own kind.
CLASS_KIND = {
    name: kind
    for kind, names in {
        "material": "fabric leather timber adhesive fastener coating cord metal paper stone plastic chemical component "
        "food fibre",
        "tool": "tool cutter machine utensil abrasive",
        "container": "container",
        "product": "garment furniture artifact",
        "reference": "document",
        "person": "person",
        "place": "place",
        "abstract": "bodypart animal plant time act abstract",
    }.items()
    for name in names.split()
}


class Term(msgspec.Struct, frozen=True, gc=False):
    """A term of some craft.

    ``kind`` is one of ``material tool pattern reference technique container count piece place abstract person
    product``; ``group`` the group in its craft file ("fabric"). ``ambiguous`` terms need more evidence than the word
    alone: see :attr:`Lexicon.decides`. ``confidence`` is 0 to 1.
    """

    name: str
    kind: str
    group: str = ""
    aliases: tuple[str, ...] = ()
    crafts: tuple[str, ...] = ()
    ambiguous: bool = False
    confidence: float = CURATED


class Match(msgspec.Struct, frozen=True, gc=False):
    """``term`` covers the tokens ``start`` up to, not including, ``end``."""

    term: Term
    start: int
    end: int


SPELLINGS = tuple(
    (re.compile(pattern), to)
    for pattern, to in (
        ("mould", "mold"),
        ("colour", "color"),
        ("fibre", "fiber"),
        ("centre", "center"),
        ("^grey", "gray"),
        ("aluminium", "aluminum"),
        ("plough", "plow"),
        ("armour", "armor"),
        ("jewell", "jewel"),
        ("mitre|mitring", "miter"),
        ("^tyre", "tire"),
        ("metre", "meter"),
        ("litre", "liter"),
        (r"([aeiou])ll(ing|ed|er|ers|ery)$", r"\1l\2"),
        ("isation$", "ization"),
        ("(bil|steril|organ|serrat|galvan|anod|oxid|ebon|mercer)is(e|er|ers|ed|ing)$", r"\1iz\2"),
    )
)
RESPELT = re.compile(  # any of the above may apply: one quick look before the sixteen
    "ould|olour|ibre|entre|grey|inium|ough|mour|jewell|mitr|tyre|etre|litre|ll(?:ing|ed|er)|isation"
    "|is(?:e|er|ers|ed|ing)$"
)
KEEP_S = frozenset(
    "scissors shears pliers tweezers snips tongs goggles glasses dividers calipers callipers compass brass glass "
    "canvas lens gas cutters nippers forceps bellows plus jeans trousers press dress cross moss gloss boss floss class "
    "mass grass chassis iris biceps bias abacus hummus couscous asparagus molasses pincers scales eucalyptus papyrus "
    "truss process harness less this its his was has does as is us".split()
)


VES = {
    "knives": "knife",
    "leaves": "leaf",
    "halves": "half",
    "shelves": "shelf",
    "scarves": "scarf",
    "hooves": "hoof",
    "loaves": "loaf",
    "calves": "calf",
}


@functools.lru_cache(maxsize=65536)
def singular(word: str) -> str:
    """A plain singular of a lower-case noun; a word that is none comes back as it is."""
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "is")) or word in KEEP_S:
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "sses", "xes", "zes")):
        return word[:-2]
    if word.endswith("ves") and len(word) > 4:
        return VES.get(word, word[:-1])
    if word.endswith("oes"):
        return word[:-2]
    return word[:-1]


@functools.lru_cache(maxsize=65536)
def spelling(word: str) -> str:
    """``word`` in the one spelling the tables use (British and American forms meet)."""
    if RESPELT.search(word):
        for pattern, to in SPELLINGS:
            word = pattern.sub(to, word)
    return word


@functools.lru_cache(maxsize=65536)
def key(word: str) -> str:
    """The form under which a single word of a term is filed."""
    return spelling(singular(word))


SKIP = frozenset(("-", "'", "'s", "’s", "’"))


def key_words(name: str) -> list[str]:
    """The filed words of a term's name: "tailor's ham" is ``["tailor", "ham"]``."""
    return [key(w) for w in re.sub(r"['’]s\b|['’]", "", name.lower()).replace("-", " ").split()]


@functools.lru_cache(maxsize=65536)
def _forms(text: str, lemma: str) -> tuple[tuple[str, bool], ...]:
    """Filed forms to try for a token, and whether the form is a verb's lemma ("ironed" as "iron")."""
    text = text.replace("’", "'").removesuffix("'s").strip("'.,;:!?\"")
    first = key(text)
    forms = [(first, False)] if first else []
    lemma_key = spelling(lemma)
    if lemma_key != first and lemma_key:
        forms.append((lemma_key, text.endswith(("ed", "ing", "en", "ung", "ound", "ewn"))))
    return tuple(forms)


AGENT = re.compile(r"^(?:re)?([a-z]{3,}?)(?:er|or|ers|ors)$")


@dataclass(slots=True)
class Lexicon:
    """Craft words, ready to be asked. Make one with :meth:`load`."""

    terms: tuple[Term, ...] = ()
    pieces: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    abstract: frozenset[str] = frozenset()
    containers: frozenset[str] = frozenset()
    counts: frozenset[str] = frozenset()
    persons: frozenset[str] = frozenset()
    products: frozenset[str] = frozenset()
    making_verbs: frozenset[str] = frozenset()
    plain_verbs: frozenset[str] = frozenset()
    talk_verbs: frozenset[str] = frozenset()
    everyday: frozenset[str] = frozenset()
    unlisted: frozenset[str] = frozenset()
    shown: Mapping[tuple[str, ...], str] = field(default_factory=dict)
    tool_verbs: Mapping[str, str] = field(default_factory=dict)
    decides: Mapping[str, str] = field(default_factory=dict)
    _trie: Node = field(default_factory=dict)
    _single: dict[str, list[Term]] = field(default_factory=dict)
    _heads: dict[str, tuple[str, bool]] = field(default_factory=dict)
    _verbs: Verbs = field(default_factory=dict)
    _wordnet: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def load(cls, own_words: Mapping[str, str] | None = None) -> Lexicon:
        """The lexicon of all craft files; ``own_words`` (term -> kind) are the maker's and win over everything else."""
        return _load(tuple(sorted((own_words or {}).items())))

    # -- terms ---------------------------------------------------------------------------------------------------

    def terms_at(self, lemmas_lower: Sequence[str], texts_lower: Sequence[str], i: int) -> list[Match]:
        """Every term that starts at token ``i``, longest first, surest first among equals.

        Plurals, hyphens (their own tokens or not), possessives, and British and American spelling make no difference.
        """
        trie = self._trie
        n = len(texts_lower)
        found: list[Match] = []
        stack: list[tuple[Node, int, bool]] = [(trie, i, False)]
        while stack:
            node, at, verbal = stack.pop()
            start_at = at
            while at < n and at > i and texts_lower[at] in SKIP:
                at += 1
            if at >= n:
                continue
            text = texts_lower[at]
            if at > i and at == start_at and not text[:1].isalnum():
                continue
            for form, is_verb in _forms(text, lemmas_lower[at]):
                following = node.get(form)
                if following is None and "-" in form and form != "-":
                    following = node
                    for part in form.split("-"):
                        following = following.get(key(part)) if following and part else None
                if following is None:
                    continue
                now_verbal = verbal or is_verb
                for term in following.get("", ()):
                    if not now_verbal or term.kind == "technique":
                        found.append(Match(term, i, at + 1))
                stack.append((following, at + 1, now_verbal))
        if len(found) > 1:
            seen: dict[tuple[str, str, int], Match] = {}
            for match in found:
                seen.setdefault((match.term.name, match.term.kind, match.end), match)
            found = sorted(seen.values(), key=lambda m: (-m.end, -m.term.confidence))
        return found

    def technique_terms_at(self, lemmas_lower: Sequence[str], texts_lower: Sequence[str], i: int) -> list[Match]:
        """Techniques named by the words from token ``i`` ("french seam", "saddle stitched"), longest first."""
        return [m for m in self.terms_at(lemmas_lower, texts_lower, i) if m.term.kind == "technique"]

    def find(self, name: str, kind: str | None = None) -> Term | None:
        """The term of that very name or alias, of ``kind`` if given; the surest where several crafts know it."""
        node: Node | None = self._trie
        for word in key_words(name):
            node = node.get(word) if node else None
        terms = [t for t in (node or {}).get("", ()) if kind is None or t.kind == kind]
        return max(terms, key=lambda t: t.confidence, default=None)

    def __contains__(self, name: str) -> bool:
        return self.find(name) is not None

    # -- kinds ---------------------------------------------------------------------------------------------------

    def classify(self, head_lemma: str, modifiers: Sequence[str] = ()) -> tuple[str | None, float]:
        """The kind of thing a noun phrase names and how sure that is: ``(None, 0.0)`` where nothing is known.

        ``modifiers`` are the words before the head, in order, without articles and possessives.
        """
        head = key(head_lemma.lower())
        mods = [w.lower() for w in modifiers]
        for start in range(len(mods) + 1):  # the longest known compound first
            words = [*mods[start:], head_lemma.lower()]
            term = self._best(words)
            if term is not None and (len(words) > 1 or not mods or not self._empty_head(term, head, mods)):
                confidence = term.confidence if len(words) > 1 or not mods else min(0.9, term.confidence + 0.15)
                return term.kind, confidence
        settled = self._heads.get(head)
        if settled is not None:
            kind, doubtful = settled
            if mods:
                return kind, 0.55 if doubtful else 0.8
            return kind, 0.35 if doubtful else 0.55
        guessed = self.wordnet_class(head_lemma)
        if guessed is not None:
            name, confidence = guessed
            kind = CLASS_KIND[name]
            if kind in ("person", "abstract") and mods and self._is_agent(head):
                return "tool", 0.5
            return kind, confidence
        if self._is_agent(head):
            return "tool", 0.55 if mods else 0.4
        return None, 0.0

    def wordnet_class(self, lemma: str) -> tuple[str, float] | None:
        """The WordNet class of a noun ("fabric", "cutter") and how much of its uses agree (0.6 at most)."""
        value = self._wordnet.get(lemma.lower().replace("-", " ")) or self._wordnet.get(singular(lemma.lower()))
        if value is None:
            return None
        name, _, share = value.partition(":")
        return name, 0.6 * int(share) / 9

    def _best(self, words: Sequence[str]) -> Term | None:
        node: Node | None = self._trie
        for word in words:
            for part in key_words(word):
                node = node.get(part) if node else None
        terms = [t for t in (node or {}).get("", ()) if t.kind != "technique"]
        return max(terms, key=lambda t: (t.confidence, t.kind in craft_data.ITEM_KINDS), default=None)

    def _empty_head(self, term: Term, head: str, mods: Sequence[str]) -> bool:
        """Whether the head's own kind says too little, so that the heads of compounds decide.

        So with "walnut bits", "a 7/64 bit", "a cape book"; and with "silk lining", where a piece is named by its stuff.
        """
        last = mods[-1]
        known = self._best([last])
        settled = self._heads.get(head)
        sure = settled is not None and not settled[1]
        if term.ambiguous or term.kind == "piece":
            return sure and known is not None and known.kind == "material"
        if term.kind not in ("abstract", "count", "container"):
            return False
        if last[:1].isdigit() or (known is not None and known.kind in craft_data.ITEM_KINDS):
            return True
        return sure and last not in self.everyday

    def _is_agent(self, head: str) -> bool:
        found = AGENT.match(head)
        if not found or head in self.persons:
            return False
        stem = found.group(1)
        undoubled = stem[:-1] if len(stem) > 3 and stem[-1] == stem[-2:-1] else stem
        return any(v in self.making_verbs for v in (stem, stem + "e", undoubled, stem.removesuffix("i") + "y"))

    # -- techniques ----------------------------------------------------------------------------------------------

    def technique_for_verb(
        self, lemma: str, particle: str | None = None, object_lemma: str | None = None
    ) -> Term | None:
        """The technique a verb shows, if any. ``lemma`` may be compound ("slip stitch").

        A verb with an everyday meaning gives an ambiguous term of lower confidence unless its object settles it.
        """
        lemma = lemma.lower()
        if particle:
            term = self._technique(lemma, particle.lower(), object_lemma)
            if term is not None:
                return term
        return self._technique(lemma, None, object_lemma)

    def technique_shown_by(self, name: Sequence[str]) -> str | None:
        """The technique that a tool, material or joint shows where it is at work: the longest end of ``name`` known."""
        words = key_words(" ".join(name))
        return next((self.shown[tuple(words[n:])] for n in range(len(words)) if tuple(words[n:]) in self.shown), None)

    def technique_meant(self, lemma: str) -> Term | None:
        """The first technique that a verb could show, whatever its object."""
        shows = self._verbs.get(spelling(lemma.lower()), ())
        return next((term for pattern, term in shows if pattern.particle is None), None)

    def verb_crafts(self) -> dict[str, frozenset[str]]:
        """Single verb lemmas that show a technique, with the crafts they show; none that all people use ("lay")."""
        return {
            verb: frozenset(c for _, term in shows for c in term.crafts)
            for verb, shows in self._verbs.items()
            if verb.isalpha() and verb not in self.plain_verbs
        }

    def _technique(self, lemma: str, particle: str | None, object_lemma: str | None) -> Term | None:
        best: Term | None = None
        best_rank = -1.0
        obj = key(object_lemma.lower()) if object_lemma else None
        for pattern, term in self._verbs.get(spelling(lemma), ()):
            if pattern.particle != particle:
                continue
            if pattern.objects:
                if obj is None or obj not in pattern.objects:
                    continue
                confidence, rank = 0.9, 3.0
            elif pattern.doubtful:
                confidence, rank = 0.5, 0.5
            else:
                confidence, rank = 0.9, 2.0
            if rank > best_rank:
                best_rank = rank
                best = replace(term, confidence=confidence, ambiguous=confidence < 0.8)
        return best


@functools.cache
def _wordnet() -> Mapping[str, str]:
    grouped = msgspec.json.decode(craft_data.wordnet_table(), type=dict[str, str])
    return {lemma: name for name, lemmas in grouped.items() for lemma in lemmas.split("|")}


def _doubted(term: Term) -> Term:
    return Term(term.name, term.kind, term.group, term.aliases, term.crafts, True, DOUBTFUL)


def _insert(trie: Node, words: Sequence[str], term: Term) -> None:
    node = trie
    for word in words:
        node = node.setdefault(word, {})
    node.setdefault("", []).append(term)


def _merge(entries: Sequence[craft_data.Entry]) -> list[tuple[Term, tuple[str, ...]]]:
    """One term a canonical name and kind, with the aliases and crafts of every file; and its doubtful names."""
    merged: dict[tuple[str, str], dict[str, Any]] = {}
    canonical: dict[tuple[str, str], str] = {}
    for entry in entries:
        # A name that another file filed as an alias joins that term.
        name = canonical.get((entry.names[0], entry.kind), entry.names[0])
        slot = merged.setdefault(
            (name, entry.kind), {"group": entry.group, "names": {}, "crafts": {}, "doubtful": set(), "sure": set()}
        )
        slot["crafts"][entry.craft] = None
        for alias in entry.names:
            slot["names"][alias] = None
            canonical.setdefault((alias, entry.kind), name)
            (slot["doubtful"] if alias in entry.doubtful else slot["sure"]).add(alias)
    out = []
    for (name, kind), slot in merged.items():
        names = tuple(slot["names"])
        term = Term(name, kind, slot["group"], tuple(n for n in names if n != name), tuple(slot["crafts"]))
        out.append((term, tuple(n for n in names if n in slot["doubtful"])))
    return out


def _file(trie: Node, name: str, term: Term) -> None:
    """File ``term`` under ``name``, and under its two words written as one ("bonefolder")."""
    words = key_words(name)
    _insert(trie, words, term)
    if len(words) == 2 and len(words[0]) > 2 and len(words[1]) > 2:
        _insert(trie, ["".join(words)], term)


def _file_terms(trie: Node, entries: Sequence[craft_data.Entry]) -> tuple[list[Term], dict[str, set[str]]]:
    """File all terms; give them, and the names of each kind."""
    terms: list[Term] = []
    by_kind: dict[str, set[str]] = {kind: set() for kind in craft_data.TERM_KINDS}
    for term, doubtful in _merge(entries):
        terms.append(term)
        names = (term.name, *term.aliases)
        by_kind[term.kind].update(names)
        for name in names:
            _file(trie, name, _doubted(term) if name in doubtful else term)
    return terms, by_kind


def _file_techniques(trie: Node, entries: Sequence[craft_data.TechniqueEntry]) -> tuple[dict[str, Term], Verbs]:
    """File the techniques' names and nouns; give them by name, and the verbs that show them."""
    merged: dict[str, Term] = {}
    for entry in entries:
        old = merged.get(entry.name)
        nouns = dict.fromkeys((*(old.aliases if old else ()), *(n for n in entry.nouns if n != entry.name)))
        known = tuple(dict.fromkeys((*(old.crafts if old else ()), entry.craft)))
        merged[entry.name] = Term(entry.name, "technique", entry.group, tuple(nouns), known)
    verbs: Verbs = {}
    filed: set[tuple[str, str]] = set()
    for entry in entries:
        term = merged[entry.name]
        compounds = (v.verb for v in entry.verbs if " " in v.verb or "-" in v.verb)
        for name in dict.fromkeys((entry.name, *entry.nouns, *compounds)):
            if (name, entry.name) not in filed:
                filed.add((name, entry.name))
                _file(trie, name, _doubted(term) if name in entry.doubtful else term)
        for pattern in entry.verbs:
            if pattern.objects:
                pattern = replace(pattern, objects=frozenset(key(o) for o in pattern.objects))
            known_patterns = verbs.setdefault(spelling(pattern.verb), [])
            if all(p != pattern or t.name != term.name for p, t in known_patterns):
                known_patterns.append((pattern, term))
    return merged, verbs


def _own_terms(trie: Node, verbs: Verbs, own_words: Sequence[tuple[str, str]]) -> list[Term]:
    """File the maker's own words in place of whatever else they meant; "not_a_thing" is filed as abstract."""
    terms = []
    for name, kind in own_words:
        term = Term(name.lower(), "abstract" if kind == "not_a_thing" else kind, "own", (), ("own",), False, OWN)
        terms.append(term)
        node = trie
        for word in key_words(name):
            node = node.setdefault(word, {})
        node[""] = [term]
        if kind == "technique" and term.name.endswith("ing"):
            stem = term.name.removesuffix("ing")
            for verb in (stem, stem + "e", stem[:-1]):
                verbs[spelling(verb)] = [(craft_data.VerbPattern(verb, None, frozenset(), False), term)]
    return terms


def _verb_list(files: Mapping[str, Mapping[str, Any]], use: str) -> frozenset[str]:
    return frozenset().union(*(craft_data.words(d.get("verbs", {}).get(use, "")) for d in files.values()))


@functools.lru_cache(maxsize=8)
def _load(own_words: tuple[tuple[str, str], ...]) -> Lexicon:
    collecting = gc.isenabled()
    gc.disable()  # tens of thousands of small dicts, none of them garbage: collecting in between doubles the time
    try:
        return _build(craft_data.craft_files(), own_words)
    finally:
        if collecting:
            gc.enable()


def _build(files: Mapping[str, Mapping[str, Any]], own_words: tuple[tuple[str, str], ...]) -> Lexicon:
    trie: Node = {}
    terms, by_kind = _file_terms(trie, [e for craft, data in files.items() for e in craft_data.entries(craft, data)])
    techniques, verbs = _file_techniques(
        trie, [t for craft, data in files.items() for t in craft_data.techniques(craft, data)]
    )
    own = _own_terms(trie, verbs, own_words)
    heads: dict[str, tuple[str, bool]] = {}
    for data in files.values():
        for kind, text in data.get("heads", {}).items():
            for head in craft_data.words(text):
                heads.setdefault(key(head.rstrip("?")), (kind, head.endswith("?")))
    plain, talk = _verb_list(files, "plain"), _verb_list(files, "talk")
    making = _verb_list(files, "making") | {v for v in verbs if " " not in v} | plain
    return Lexicon(
        terms=(*terms, *techniques.values(), *own),
        pieces=frozenset(by_kind["piece"]),
        places=frozenset(by_kind["place"]),
        abstract=frozenset(by_kind["abstract"]),
        containers=frozenset(by_kind["container"]),
        counts=frozenset(by_kind["count"]),
        persons=frozenset(by_kind["person"]),
        products=frozenset(by_kind["product"]),
        making_verbs=frozenset(making - (talk - plain)),
        plain_verbs=plain,
        unlisted=_verb_list(files, "unlisted"),
        talk_verbs=talk,
        everyday=frozenset().union(
            *(craft_data.words(t) for d in files.values() for t in d.get("everyday", {}).values())
        ),
        shown={
            tuple(key_words(name)): technique
            for data in files.values()
            for technique, names in data.get("shown", {}).items()
            for name in craft_data.words(names)
        },
        tool_verbs={v: item for data in files.values() for v, item in data.get("verb_item", {}).items()},
        decides={w: text for data in files.values() for w, text in data.get("decides", {}).items()},
        _trie=trie,
        _heads=heads,
        _verbs=verbs,
        _wordnet=_wordnet(),
    )


def lexicon_of(doc: Any) -> Lexicon:
    """The lexicon that ``doc`` is read with: the maker's own words in it, where the tag stage was given any."""
    return doc.user_data.get("lexicon") or Lexicon.load()
