"""Our three themes, each with a colour for every style of a span.

Every text colour stands at least 4.5:1 against every ground it is drawn on; a test measures it
on the screens themselves. Nothing is said by colour alone.
"""

from __future__ import annotations

from textual.theme import Theme


def _theme(name: str, *, dark: bool, ground: str, raised: str, text: str, **styles: str) -> Theme:
    return Theme(
        name=name,
        dark=dark,
        primary=styles["accent"],
        secondary=styles["accent"],
        accent=styles["accent"],
        warning=styles["marginal"],
        error=styles["fault"],
        success=styles["fits"],
        foreground=text,
        background=ground,
        surface=ground,
        panel=raised,
        text_alpha=1.0,
        variables={
            "hw-text": text,
            "hw-ground": ground,
            "hw-raised": raised,
            **{f"hw-{style}": colour for style, colour in styles.items()},
        },
    )


DARK = _theme(
    "river-night",
    dark=True,
    ground="#10181c",
    raised="#1c2a30",
    text="#e4ecee",
    strong="#ffffff",
    fits="#8fd18a",
    marginal="#f0c15c",
    unproven="#d0a6ee",
    out="#f2958a",
    pick="#7fd3e0",
    fault="#ffa89c",
    accent="#8cc4ff",
    line="#5d7883",
    cursor="#ffffff",
    cursorground="#1d5470",
)

LIGHT = _theme(
    "river-day",
    dark=False,
    ground="#fbfbf7",
    raised="#e9ebe4",
    text="#1b2226",
    strong="#000000",
    fits="#1f6424",
    marginal="#7a4b00",
    unproven="#6a2c91",
    out="#9c2117",
    pick="#00596b",
    fault="#a3130a",
    accent="#0b4f8a",
    line="#6b7a80",
    cursor="#ffffff",
    cursorground="#1d4f66",
)

MONO = _theme(
    "river-mono",
    dark=True,
    ground="#000000",
    raised="#000000",
    text="#e6e6e6",
    strong="#ffffff",
    fits="#e6e6e6",
    marginal="#e6e6e6",
    unproven="#e6e6e6",
    out="#e6e6e6",
    pick="#ffffff",
    fault="#ffffff",
    accent="#e6e6e6",
    line="#a0a0a0",
    cursor="#000000",
    cursorground="#e6e6e6",
)

THEMES = {"dark": DARK, "light": LIGHT, "mono": MONO}
"""By the word that `--theme` takes."""
