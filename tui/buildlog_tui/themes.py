"""Three sets of colours of the bench: walnut (dark), paper (light) and chalk (high contrast)."""

from __future__ import annotations

from textual.theme import Theme

# The colours of marks, by the name of the style; every one is also told by a mark and an underline.
_WALNUT = {
    "material": "#b5c99a", "tool": "#8fbcd4", "pattern": "#e2a6a0", "reference": "#c3b1e1", "technique": "#8ed1c0",
    "measurement": "#e3c27a", "link": "#f0a868", "repair": "#c9b8a6", "note": "#b8ab9b", "caution": "#f0c34a",
    "step": "#d9b17c", "chapter": "#f2dcb8", "piece": "#c9b8a6", "quiet": "#8d8174", "cursor": "#1d1815",
    "cursor-back": "#e9b872", "pick-back": "#5a4632", "row-back": "#3a2f26", "bad": "#f08a76", "good": "#a9cf8f",
}  # fmt: skip
_PAPER = {
    "material": "#3f6212", "tool": "#155e83", "pattern": "#9f3030", "reference": "#5b3fa0", "technique": "#0f6b5c",
    "measurement": "#7a5200", "link": "#9a4a00", "repair": "#5c5145", "note": "#5c5145", "caution": "#8a5a00",
    "step": "#7a4e12", "chapter": "#3a2a14", "piece": "#5c5145", "quiet": "#766a5c", "cursor": "#fffaf0",
    "cursor-back": "#7a4a10", "pick-back": "#e3cfa9", "row-back": "#eadfc9", "bad": "#a52a14", "good": "#3f6212",
}  # fmt: skip
_CHALK = {
    "material": "#ffffff", "tool": "#ffffff", "pattern": "#ffffff", "reference": "#ffffff", "technique": "#ffffff",
    "measurement": "#ffff66", "link": "#ffff66", "repair": "#ffffff", "note": "#ffffff", "caution": "#ffff66",
    "step": "#ffff66", "chapter": "#ffff66", "piece": "#ffffff", "quiet": "#e0e0e0", "cursor": "#000000",
    "cursor-back": "#ffff00", "pick-back": "#0000c8", "row-back": "#0000a0", "bad": "#ffb0a0", "good": "#b0ffb0",
}  # fmt: skip


def _theme(name: str, colours: dict[str, str], **own: object) -> Theme:
    return Theme(name=name, variables={f"bench-{k}": v for k, v in colours.items()}, **own)  # type: ignore[arg-type]


THEMES = {
    "dark": _theme(
        "walnut",
        _WALNUT,
        primary="#d9a760",
        secondary="#8fbcd4",
        accent="#e9b872",
        warning="#f0c34a",
        error="#f08a76",
        success="#a9cf8f",
        foreground="#ede3d6",
        background="#1d1815",
        surface="#241e1a",
        panel="#2e2620",
        dark=True,
    ),
    "light": _theme(
        "paper",
        _PAPER,
        primary="#7a4a10",
        secondary="#155e83",
        accent="#7a4a10",
        warning="#8a5a00",
        error="#a52a14",
        success="#3f6212",
        foreground="#2a231b",
        background="#f7f1e4",
        surface="#f2eadb",
        panel="#e9dfcb",
        dark=False,
    ),
    "contrast": _theme(
        "chalk",
        _CHALK,
        primary="#ffff00",
        secondary="#ffffff",
        accent="#ffff00",
        warning="#ffff66",
        error="#ffb0a0",
        success="#b0ffb0",
        foreground="#ffffff",
        background="#000000",
        surface="#000000",
        panel="#101010",
        dark=True,
        luminosity_spread=0.05,
        text_alpha=1.0,
    ),
}
