"""Draws the pictures of the README anew: `python tests/support/pictures.py`.

The screen is drawn by textual itself; the sheet is the page that the command writes, as far as its
first page goes, photographed by Chromium where that is installed.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests" / "tui"), str(ROOT / "tests" / "support"), str(ROOT)]

from shipped import shipped_catalog  # noqa: E402 - found by the line above
from tui_driving import Driver  # noqa: E402

from configurator.catalog.load import shipped_folder  # noqa: E402
from configurator.tui.app import HeadwrightApp  # noqa: E402
from configurator.tui.document import Draft, open_document  # noqa: E402
from configurator.tui.session import Session  # noqa: E402
from configurator.workshop.workshop import Workshop  # noqa: E402

FOLDER = ROOT / "docs" / "pictures"
SIZE = (120, 36)
ASKED = ("lid-sealant", "lid-bead")


def screen_svg(session: Session, size: tuple[int, int] = SIZE) -> str:
    """The screen of a session as a drawing that fetches nothing."""
    app = HeadwrightApp(session, theme="light")

    async def drawn() -> str:
        async with app.run_test(size=size) as pilot:
            await Driver(app, pilot).settle()
            return app.export_screenshot(title="headwright tui")

    # Its fonts would come from the network: letters of any fixed width do.
    svg = re.sub(r"@font-face \{.*?\}\s*", "", asyncio.run(drawn()), flags=re.DOTALL)
    return re.sub(r" +$", "", svg, flags=re.MULTILINE).replace("Fira Code", "DejaVu Sans Mono")


def main() -> None:
    """Write both pictures."""
    FOLDER.mkdir(exist_ok=True)
    examples = shipped_folder() / "examples"
    material, process = (
        open_document(kind, name, examples)
        for kind, name in zip(("material", "process"), ASKED, strict=True)
    )
    session = Session(Workshop(shipped_catalog()), examples)
    session.begin_with(Draft().with_document(process).with_document(material))
    (FOLDER / "screen.svg").write_text(screen_svg(session), encoding="utf-8")
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.stdout.write("chromium is not installed: the sheet stays as it was\n")
        return
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "sheet.html"
        make = [sys.executable, "-m", "configurator", "sheet", *ASKED, "--build", "1", "--out"]
        subprocess.run([*make, str(page)], cwd=ROOT, check=True)
        shot = [
            f"--screenshot={FOLDER / 'sheet.png'}",
            "--window-size=800,940",
            "--hide-scrollbars",
            page.as_uri(),
        ]
        subprocess.run([chromium, "--headless", "--no-sandbox", *shot], check=True)


if __name__ == "__main__":
    main()
