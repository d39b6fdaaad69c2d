"""Chapters: the hosts' rules, the maker's wish, places at silences, titles."""

from __future__ import annotations

import itertools
import random

import pytest

from buildlog.document import Chapter, Line
from buildlog.outline import ChapterWish, outline
from buildlog.outline.chapters.acts import ing
from buildlog.outline.chapters.headings import fitness
from buildlog.outline.chapters.placing import LEAST_S, choose, usual_count
from buildlog.outline.chapters.signals import Place, places

# Four stretches of talk with ten seconds of silence between them; invented for this test.
STRETCHES = (
    "Hello everyone, today we are making a little wall shelf for the spice jars in my kitchen. It is a good one for "
    "beginners.",
    "Okay, cutting. I cut two sides from the pine board with a tenon saw. Then I cut the shelf and the back rail to "
    "length. "
    "I sanded the sides with a cork block.",
    "Right, the joints. I marked the housings with a knife and a square. I chopped the housings with a chisel. "
    "I glued the shelf into the housings and clamped the sides.",
    "Now the finish. I brushed shellac on the shelf with a soft brush. I rubbed the shellac down with wire wool.",
    "So that's it for today. I am very pleased with how it hangs on the wall, and so are the spice jars. If you have "
    "any "
    "questions at all then ask me underneath. Thank you for watching and see you next time.",
)


def lines() -> list[Line]:
    out, at = [], 0.0
    for text in STRETCHES:
        length = len(text.split()) / 2.5
        out.append(Line(start_s=at, end_s=at + length, text=text))
        at += length + 10.0
    return out


def chapters(wish: ChapterWish | None = None) -> tuple[list[Chapter], list[Line], float]:
    from buildlog.tag.pipeline import tag

    said = lines()
    doc = tag(said).doc
    doc._.reader = None
    end = said[-1].end_s
    return outline(doc, duration_s=end, wish=wish).chapters, said, end


def test_a_chapter_begins_after_each_silence_and_nowhere_in_a_sentence() -> None:
    got, said, _ = chapters()
    assert [c.start_s for c in got] == pytest.approx([x.start_s for x in said], abs=0.5)


def test_hosts_rules_hold() -> None:
    got, _, end = chapters()
    starts = [c.start_s for c in got]
    assert starts[0] == 0.0
    assert len(starts) >= 3
    assert all(b - a >= LEAST_S for a, b in zip(starts, [*starts[1:], end], strict=True))


def test_titles_are_unique_short_and_name_the_work() -> None:
    got, _, _ = chapters()
    titles = [c.title for c in got]
    assert len({t.lower() for t in titles}) == len(titles)
    assert all(0 < len(t) < 60 and t[0].isupper() for t in titles)
    assert titles[-1] == "Wrapping up"
    assert "shelf" in titles[0].lower() or titles[0] == "Intro"
    assert any("hous" in t.lower() or "joint" in t.lower() for t in titles)
    assert any("shellac" in t.lower() or "finish" in t.lower() for t in titles)


@pytest.mark.parametrize("count", [3, 4, 5])
def test_as_many_chapters_as_wished(count: int) -> None:
    got, _, _ = chapters(ChapterWish(count=count))
    assert len(got) == count


def test_longer_chapters_on_wish() -> None:
    got, _, _ = chapters(ChapterWish(length_s=45.0))
    assert len(got) == 3


def best_by_hand(places: list[Place], end: float, count: int) -> float:
    """The best score of ``count`` places at least 10 s apart and from both ends, by trying all (an oracle)."""
    from itertools import combinations

    usable = [p for p in places if LEAST_S <= p.start_s <= end - LEAST_S]
    sums = [
        sum(p.score for p in chosen)
        for chosen in combinations(usable, count)
        if all(b.start_s - a.start_s >= LEAST_S for a, b in itertools.pairwise(chosen))
    ]
    return max(sums, default=float("-inf"))


def test_choice_is_the_best_that_keeps_the_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    """Against an exhaustive search, with the preference for usual lengths switched off."""
    import buildlog.outline.chapters.placing as placing

    monkeypatch.setattr(placing, "_length_loss", lambda length, usual: 0.0 if length >= LEAST_S else float("inf"))
    rng = random.Random(7)
    for _ in range(40):
        end = rng.uniform(60, 200)
        places = sorted(
            (Place(i, round(rng.uniform(0, end), 1), rng.uniform(-2, 6)) for i in range(9)), key=lambda p: p.start_s
        )
        got = choose(places, end, ChapterWish(count=4), 0.0)
        if len(got) == 3:
            assert sum(p.score for p in got) == pytest.approx(best_by_hand(places, end, 3))
        else:
            assert best_by_hand(places, end, 3) == float("-inf")


def test_nowhere_to_cut_gives_one_chapter() -> None:
    assert choose([Place(1, 4.0, 9.0)], 12.0, None, 1.0) == []


@pytest.mark.parametrize(
    ("verb", "doubled", "expected"),
    [
        ("slip stitch", False, "Slip stitching"),
        ("recut", False, "Recutting"),
        ("hem", False, "Hemming"),
        ("bevel", True, "Bevelling"),
        ("bevel", False, "Beveling"),
        ("string", False, "Stringing"),
        ("dye", False, "Dyeing"),
    ],
)
def test_forms_in_ing(verb: str, *, doubled: bool, expected: str) -> None:
    """Spellings from any dictionary; "bevelled" is British, "beveled" American."""
    assert ing(verb, doubled=doubled) == expected


def titles_of(*stretches: str) -> list[str]:
    """Titles of invented stretches of talk, ten seconds of silence between them, an introduction before them."""
    from buildlog.tag.pipeline import tag

    said, at = [], 0.0
    for text in (STRETCHES[0], *stretches, STRETCHES[-1]):
        length = len(text.split()) / 2.5
        said.append(Line(start_s=at, end_s=at + length, text=text))
        at += length + 10.0
    doc = tag(said).doc
    made = outline(doc, duration_s=said[-1].end_s, wish=ChapterWish(count=len(said))).chapters
    assert [c.start_s for c in made] == pytest.approx([x.start_s for x in said], abs=0.5)
    return [c.title for c in made[1:-1]]


def test_a_title_names_the_thing_and_never_what_it_was_only_done_with() -> None:
    """Invented talk: the thing worked on is named; the tool, the shop and the comparison are not."""
    cut, oiled, sewn = titles_of(
        "Okay, the lid. I marked the lid with a pencil. Then I cut the lid with a new saw blade, and it went like a "
        "hot knife through a cake.",
        "Now it wants some oil. I oiled the tray with linseed oil from the paint shop. I wiped the tray after ten minutes "
        "and oiled the tray again.",
        "Next I pinned the collar to the neck. I sewed the collar with a walking foot. I pressed the collar flat.",
    )
    assert "lid" in cut.lower()
    assert "tray" in oiled.lower()
    assert "collar" in sewn.lower()
    for text in (cut, oiled, sewn):
        assert not {"blade", "saw", "knife", "cake", "shop", "foot", "oil", "pencil"} & set(text.lower().split())
        assert text.split()[0].endswith("ing")


def test_words_that_makers_name_chapters_by_count_for_more() -> None:
    """From the counts in the file: hoods and basting head chapters, teeth and saying never do."""
    assert fitness("N", "hood") > 0 > fitness("N", "tooth")
    assert fitness("V", "baste") > 0 > fitness("V", "say")
    assert fitness("N", "a word nobody said") == pytest.approx(0.0)


def test_a_long_silence_ends_a_sentence_whatever_the_guess_at_full_stops_was() -> None:
    """Speech without punctuation, and no sentence start where a line begins after six seconds of silence."""
    from buildlog.tag.pipeline import tag
    from buildlog.tag.view import view_of

    said = [
        Line(start_s=0.0, end_s=4.0, text="so the sides get glued to the bottom with"),
        Line(start_s=10.0, end_s=14.0, text="lining the lining is the same thing all over again"),
    ]
    v = view_of(tag(said).doc)
    v.sents, v.sent_of = [(0, len(v.text))], [0] * len(v.text)
    found = places(v, [], [], None, pauses=(), cuts=())
    assert [p.start_s for p in found] == [10.0]
    assert found[0].pause_s == pytest.approx(6.0)


def test_talk_without_a_breath_is_divided_too() -> None:
    """Captions without silences: all the evidence is weaker by as much, so the best places are still chosen."""
    loud = [Place(i, 30.0 * i, 6.0 if i % 3 == 0 else -1.0, 4.0) for i in range(1, 20)]
    even = [Place(p.at, p.start_s, p.score - 3.0) for p in loud]
    assert [p.at for p in choose(even, 600.0, None, 4.0)] == [p.at for p in choose(loud, 600.0, None, 4.0)]
    assert len(choose(loud, 600.0, None, 4.0)) == 6


def test_long_talks_have_more_chapters_but_fewer_a_minute() -> None:
    """Ten at nine minutes; half an hour has more than that but not three times as many, three hours fewer than forty."""
    nine, thirty, hours = (usual_count(60.0 * m) for m in (9, 30, 180))
    assert nine == pytest.approx(10.05)
    assert nine < thirty < 2 * nine
    assert thirty < hours < 40


def test_a_last_stretch_of_work_with_a_goodbye_at_its_end_is_named_by_the_work() -> None:
    from buildlog.tag.pipeline import tag

    work = (
        "Now the hem. I pinned the hem all the way round and I sewed the hem by hand with a slip stitch, which took me the "
        "best part of an evening, and then I pressed the hem under a damp cloth. Thank you for watching."
    )
    said, at = [], 0.0
    for text in (*STRETCHES[:2], work):
        length = len(text.split()) / 2.5
        said.append(Line(start_s=at, end_s=at + length, text=text))
        at += length + 10.0
    made = outline(tag(said).doc, duration_s=said[-1].end_s, wish=ChapterWish(count=3)).chapters
    assert "hem" in made[-1].title.lower()
