"""The same words say the same, with the film at hand or without it."""

from __future__ import annotations

from pathlib import Path

from buildlog.intake import Hearing, read_words, sources, words_of

SAMPLES = Path(__file__).resolve().parents[1] / "sample_media"


def test_a_transcript_alone_reads_as_it_does_beside_its_film() -> None:
    """Only what the picture and the pauses tell (where chapters begin) may differ."""
    film, words = SAMPLES / "log-carrier.mp4", SAMPLES / "log-carrier.truth.vtt"
    (beside,) = sources([film], words)
    (alone,) = sources([words])
    logs = []
    for source in (beside, alone):
        heard, anew = words_of(source, Hearing())
        assert anew is None  # nothing had to be heard
        logs.append(read_words(heard, source.path.name))
    a, b = logs
    assert a.transcript == b.transcript
    assert a.items == b.items
    assert a.measurements == b.measurements
    assert a.techniques == b.techniques
    assert a.notes == b.notes
    assert a.links_owed == b.links_owed
    assert [s.text for s in a.steps] == [s.text for s in b.steps]
