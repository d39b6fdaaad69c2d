"""Recordings as files: what they hold, their sound, pictures, pauses and cuts."""

from __future__ import annotations

from buildlog.media.cutting import clip
from buildlog.media.fingerprint import sha256_of
from buildlog.media.picture import jpeg, key_still, scene_cuts, still
from buildlog.media.probing import AudioTrack, MediaInfo, VideoTrack, probe
from buildlog.media.sound import SAMPLE_RATE, Pause, decode_audio, pauses

__all__ = [
    "SAMPLE_RATE",
    "AudioTrack",
    "MediaInfo",
    "Pause",
    "VideoTrack",
    "clip",
    "decode_audio",
    "jpeg",
    "key_still",
    "pauses",
    "probe",
    "scene_cuts",
    "sha256_of",
    "still",
]
