"""Writes the compared screens anew: `python tests/tui/regenerate.py`.

Run it when screens are meant to change, read the difference, and commit it together with the
change that caused it. The texts are never edited by hand.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "support"), str(HERE.parents[1])]

from tui_screens import CASES, FOLDER, name_of, screen_of  # noqa: E402 - found by the line above
from tui_worlds import write_examples  # noqa: E402


def main() -> None:
    """Write every screen and say which changed."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        examples = write_examples(Path(folder))
        for state, size, characters in CASES:
            path = FOLDER / name_of(state, size, characters)
            text = screen_of(examples, state, size, characters)
            changed = not path.is_file() or path.read_text(encoding="utf-8") != text
            path.write_text(text, encoding="utf-8")
            sys.stdout.write(f"{path.name}: {'changed' if changed else 'as it was'}\n")


if __name__ == "__main__":
    main()
