"""Parts of one build know each other: remarks about other parts, what was promised for this one, the whole build."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.document import Check, Log, Note
from buildlog.edits import AcceptCheck, accepts
from buildlog.publish.box import Box, box
from buildlog.publish.checking import Finding, check, untimed
from buildlog.publish.plain import clean, safe_url
from buildlog.publish.settings import About, BoxSettings, Pointer, settings_from

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part

# Words of a remark that say that there is another part, not what is in it.
_EMPTY = set(
    "part parts video videos film films episode next last time week month year one two three four five first second "
    "third this that those these them they there then than with from into have has had been were was will would going "
    "gonna about just have look watch make made making doing done show shown remember believe what when where which "
    "the and you for our not but can did get got has was are its all any now how out one see let put too "
    "again before after later today other another thing things".split()
)
SETTING = "publishing"  # the archive's setting with the maker's own choices


def about_part(archive: Archive, part: Part) -> About:
    """What the archive knows about a part beside its log: title, series, remarks about other parts resolved."""
    parts = archive.builds.parts(part.build_id)
    others = {p.number: p for p in parts}
    pointers = []
    notes = archive.log(part.id).notes
    put_right = {n.text for n in notes if n.kind == "correction"}
    for note in notes:
        number = _meant(note, part.number)
        # "I said an inch in part one, it is two": nobody need go there.
        if number is None or number == part.number or note.text in put_right:
            continue
        there = others.get(number)
        if there is None and note.direction != "forward":
            continue
        at = None if there is None else _moment_in(archive.log(there.id), note.text)
        pointers.append(
            Pointer(
                start_s=note.start_s,
                said=clean(note.text),
                part=number,
                title=there.title if there else None,
                url=safe_url(there.video_url) if there else None,
                at_s=at,
                direction="back" if number < part.number else "forward",
            )
        )
    return About(
        build=part.build,
        title=part.title,
        number=part.number,
        parts=max((p.number for p in parts), default=1),
        video_url=safe_url(part.video_url),
        posted_on=part.posted_on,
        pointers=tuple(pointers),
        promised=tuple(_promised(archive, part, parts)),
        part_urls=tuple((p.number, safe_url(p.video_url), p.title or "") for p in parts),
    )


def choices(archive: Archive, part: Part | None, **typed: object) -> tuple[str, BoxSettings]:
    """The host and the settings for a part: the archive's, then the part's own, then what was typed.

    Raises :class:`buildlog.errors.BadInput` for a setting that is none.
    """
    from buildlog.publish.hosts import DEFAULT

    kept = dict(archive.settings.get(SETTING) or {})
    own = dict(part.host_settings) if part is not None else {}
    asked = dict(typed)
    host = asked.pop("host", None) or (part.host if part is not None else None) or own.get("host") or kept.get("host")
    for source in (kept, own):
        source.pop("host", None)
    return str(host or DEFAULT), settings_from(kept, own, asked)


def check_part(archive: Archive, part: Part, *, dead: Sequence[str] = (), **typed: object) -> list[Finding]:
    """:func:`buildlog.publish.check` of a part in the archive, with what only the archive knows."""
    host, settings = choices(archive, part, **typed)
    findings = check(
        archive.log(part.id),
        host=host,
        settings=settings,
        about=about_part(archive, part),
        link_book=archive.links.all(),
        accepted=archive.accepted_checks(part.id),
        dead=dead,
    )
    lost = [
        Finding(kind="edit", start_s=0.0, text=f"One of your changes found no place: {clean(u.why)}", blocks=True)
        for u in archive.needs_look(part.id)
    ]
    return lost + findings


def box_part(archive: Archive, part: Part, **typed: object) -> Box:
    """:func:`buildlog.publish.box` of a part in the archive, with the maker's settings and link book."""
    host, settings = choices(archive, part, **typed)
    return box(
        archive.log(part.id),
        host=host,
        settings=settings,
        about=about_part(archive, part),
        link_book=archive.links.all(),
    )


def accept(archive: Archive, part: Part, finding: Finding) -> None:
    """Remember that a finding is fine; a promise of an earlier part is settled there."""
    if finding.kind == "promise":
        for earlier in archive.builds.parts(part.build_id):
            for number, start, text in about_part(archive, part).promised:
                if number == earlier.number and start == finding.start_s and clean(text) in finding.text:
                    archive.edit(earlier.id, AcceptCheck(kind="promise", start_s=start, text=text))
                    return
    archive.edit(part.id, AcceptCheck(kind=finding.kind, start_s=max(0.0, finding.start_s), text=untimed(finding.text)))


def _meant(note: Note, number: int) -> int | None:
    """The number of the part that a remark is about; ``None`` where it is none of this build's."""
    if note.kind != "pointer":
        return None
    if note.part is not None:
        return note.part
    step = {"back": -1, "forward": 1}.get(note.direction or "", 0)
    return number + step if step and number + step > 0 else None


def content_words(text: str) -> set[str]:
    """The words of a text that say what it is about, without endings."""
    words = re.findall(r"[^\W\d_]{3,}", text.casefold())
    return {re.sub(r"(ing|ed|es|s|e)$", "", w) for w in words if w not in _EMPTY}


def _moment_in(log: Log, text: str) -> float | None:
    """The moment of ``log`` that ``text`` is most likely about; ``None`` where nothing in it is spoken of."""
    wanted = content_words(text)
    if not wanted:
        return None
    places = [(c.title, c.start_s, 1.2) for c in log.chapters]
    places += [(t.name, t.first_shown_s, 1.1) for t in log.techniques]
    places += [(s.text, s.start_s, 1.0) for s in log.steps]
    ranked = [(len(wanted & content_words(name)) * weight, -at) for name, at, weight in places]
    best = max(ranked, default=(0.0, 0.0))
    return -best[1] if best[0] > 0 else None


def _promised(archive: Archive, part: Part, parts: Sequence[Part]) -> list[tuple[int, float, str]]:
    """What earlier parts promised for this one and neither it nor the maker's word has settled."""
    here = archive.log(part.id)
    titles = [part.title or "", *(c.title for c in here.chapters), *(s.text for s in here.steps)]
    spoken = content_words(" ".join(titles))
    out = []
    for earlier in parts:
        if earlier.number >= part.number:
            continue
        accepted = archive.accepted_checks(earlier.id)
        for note in archive.log(earlier.id).notes:
            if note.kind != "pointer" or note.direction != "forward" or _meant(note, earlier.number) != part.number:
                continue
            promise = Check(kind="promise", start_s=note.start_s, text=note.text)
            wanted = content_words(note.text)
            kept = bool(wanted) and len(wanted & spoken) * 2 >= len(wanted)
            if not kept and not any(accepts(a, promise) for a in accepted):
                out.append((earlier.number, note.start_s, note.text))
    return out
