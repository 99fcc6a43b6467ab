"""What is on the screen as plain text, for tests and for people who cannot run it."""

from __future__ import annotations

from textual.app import App


def screen_text(app: App[None]) -> str:
    """Return the lines of the screen on top, without blanks at their ends.

    Parameters
    ----------
    app : App
        A running one.
    """
    # The compositor is private to textual; a test of this function says when that changes.
    strips = app.screen._compositor.render_strips()  # noqa: SLF001
    return "\n".join(strip.text.rstrip() for strip in strips)
