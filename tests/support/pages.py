"""What README and the pages of docs/ show, as data: commands, files, transcripts and tables.

`python tests/support/pages.py` writes the outputs in their transcripts anew, line by line: each
shown line becomes the line of the real output that is most like it. Run it when answers are
meant to change, and read the difference as prose. A page that goes on where another ended says so
in a comment: `<!-- after: engineer.md -->`.
"""

from __future__ import annotations

import contextlib
import difflib
import io
import os
import re
import shlex
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from unittest import mock

from configurator.cli.main import run

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
PAGES = (README, *sorted((ROOT / "docs").rglob("*.md")))
"""What a user reads."""
LEFT_OUT = "..."

AFTER = re.compile(r"^<!-- after: (?P<page>\S+) -->$", re.MULTILINE)
BLOCK = re.compile(
    r"(?:^<!-- (?P<marker>[^\n]+) -->\n)?^```(?P<kind>\w+)\n(?P<body>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)


@dataclass(frozen=True)
class Block:
    """A fenced block, with the comment that stands right above it, if one does."""

    kind: str
    marker: str
    body: str


@dataclass(frozen=True)
class Step:
    """A command of a transcript and the lines shown below it; `...` stands for lines left out."""

    command: str
    shown: tuple[str, ...]


def title(page: Path) -> str:
    """A page as people name it."""
    return page.relative_to(ROOT).as_posix()


def blocks(page: Path) -> list[Block]:
    """All fenced blocks of a page in their order, behind those of the page that it goes on from."""
    text = page.read_text(encoding="utf-8")
    before = AFTER.search(text)
    earlier = blocks(page.parent / before["page"]) if before else []
    here = [Block(m["kind"], m["marker"] or "", m["body"]) for m in BLOCK.finditer(text)]
    return [*earlier, *here]


def transcripts(page: Path) -> dict[int, str]:
    """Place of each transcript of a page among its blocks, and its first command."""
    every = blocks(page)
    here = len(BLOCK.findall(page.read_text(encoding="utf-8")))
    return {
        number: steps(block.body)[0].command
        for number, block in enumerate(every)
        if block.kind == "console" and number >= len(every) - here
    }


def steps(transcript: str) -> list[Step]:
    """The commands of one transcript."""
    found: list[tuple[str, list[str]]] = []
    for line in transcript.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line)
    return [Step(command, tuple(shown)) for command, shown in found]


def table(marker: str, *documents: Path) -> list[list[str]]:
    """Cells of the one table below a marker, without its head; backquotes are kept."""
    line = f"<!-- {marker} -->"
    texts = [page.read_text(encoding="utf-8").splitlines() for page in documents or PAGES]
    (lines,) = [text for text in texts if line in text]
    rows = []
    for each in lines[lines.index(line) + 1 :]:
        if not each.startswith("|"):
            break
        rows.append([cell.strip() for cell in each.strip("|").split(" | ")])
    return rows[2:]


def unquoted(cell: str) -> str:
    """A cell without its backquotes."""
    return cell.strip().strip("`")


class Walk:
    """A folder in which a page's files are written and its commands run, in order."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "bin").mkdir()
        self._command("headwright", "-m configurator ")
        self._command("python3", "")
        (folder / "catalogs").symlink_to(ROOT / "catalogs", target_is_directory=True)

    def _command(self, name: str, arguments: str) -> None:
        path = self.folder / "bin" / name
        path.write_text(f'#!/bin/sh\nexec "{sys.executable}" {arguments}"$@"\n', encoding="utf-8")
        path.chmod(0o755)

    def write(self, name: str, text: str) -> None:
        """Write a file of a page."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def lay_out(self, before: Sequence[Block]) -> None:
        """Leave what a reader has behind some blocks: files, what a shell has made, own catalogs."""
        for block in before:
            if block.marker.startswith("file: "):
                self.write(block.marker.removeprefix("file: "), block.body)
            elif block.kind == "console":
                for step in steps(block.body):
                    asks = re.search(r"\b(headwright|python3)\b", step.command)
                    if not asks or re.match("headwright catalog (new|import) ", step.command):
                        self.run(step.command)

    def run(self, command: str) -> str:
        """Run a command as a person would and return all that it prints.

        A plain call of `headwright` runs in this process, which spares it the imports.
        """
        words = shlex.split(command)
        if words[0] == "headwright" and not re.search(r"[|<>;&$`*]", command):
            return self._run_here(words[1:])
        return self.run_in_shell(command)

    def run_in_shell(self, command: str) -> str:
        """Run a command in a process of its own."""
        return subprocess.run(
            ["/bin/sh", "-c", command],
            cwd=self.folder,
            env=self._environment(),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            check=False,
            timeout=120,
        ).stdout

    def _run_here(self, arguments: list[str]) -> str:
        printed = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
        with (
            contextlib.chdir(self.folder),
            mock.patch.dict(os.environ, self._environment(), clear=True),
            contextlib.redirect_stdout(printed),
            contextlib.redirect_stderr(printed),
        ):
            run(arguments)
        printed.seek(0)
        return printed.read()

    def _environment(self) -> dict[str, str]:
        kept = {key: value for key, value in os.environ.items() if not key.startswith("HEADWRIGHT")}
        kept.pop("COLUMNS", None)
        return kept | {
            "PATH": f"{self.folder / 'bin'}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": str(ROOT),
            "XDG_CONFIG_HOME": str(self.folder / "config"),
        }


def walked(page: Path, block: int, folder: Path) -> Iterator[tuple[Step, list[str]]]:
    """Each command of one transcript, with the lines that it really prints in a fresh folder."""
    walk = Walk(folder)
    every = blocks(page)
    walk.lay_out(every[:block])
    for step in steps(every[block].body):
        yield step, walk.run(step.command).splitlines()


def missing(step: Step, printed: list[str]) -> str:
    """The first shown line that the output lacks at its place; empty if none does."""
    place, may_skip = 0, False
    for line in step.shown:
        if line == LEFT_OUT:
            may_skip = True
            continue
        ends = (
            range(place, len(printed)) if may_skip else range(place, min(place + 1, len(printed)))
        )
        found = next((at for at in ends if _alike(line, printed[at])), None)
        if found is None:
            return line
        place, may_skip = found + 1, False
    return "" if may_skip or place == len(printed) else f"(more output: {printed[place]})"


def _alike(shown: str, printed: str) -> bool:
    """A shown line may leave out its own end, as long rows do."""
    if shown.endswith(LEFT_OUT) and shown != printed:
        return printed.startswith(shown.removesuffix(LEFT_OUT))
    return shown == printed


def _renewed(step: Step, printed: list[str]) -> list[str]:
    """What is printed now, with left out what the page leaves out."""
    place, lines = 0, list[str]()
    for some, lines_of in groupby(step.shown, key=LEFT_OUT.__ne__):
        if not some:
            lines.append(LEFT_OUT)
            continue
        shown = list(lines_of)
        first = place if not lines else _nearest(shown[0], printed, place)
        last = _nearest(shown[-1], printed, first)
        if shown[-1] is step.shown[-1]:
            last = len(printed) - 1
        place = last + 1
        cut = {line.removesuffix(LEFT_OUT): line for line in shown if line.endswith(LEFT_OUT)}
        for line in printed[first:place]:
            lines.append(next((cut[begin] for begin in cut if line.startswith(begin)), line))
    return lines


def _nearest(shown: str, printed: list[str], place: int) -> int:
    """The line that is most like one of a page, from some place on."""

    def likeness(at: int) -> float:
        if _alike(shown, printed[at]):
            return 2.0
        words, real = (re.sub(r"[\d ]+", "#", line) for line in (shown, printed[at]))
        return difflib.SequenceMatcher(None, words, real).ratio()

    return max(range(place, len(printed)), key=likeness, default=len(printed) - 1)


def renew(page: Path) -> None:
    """Write the transcripts of a page anew."""
    outputs = []
    for number in transcripts(page):
        with tempfile.TemporaryDirectory() as folder:
            outputs += [_renewed(*each) for each in walked(page, number, Path(folder))]
    text = page.read_text(encoding="utf-8")
    remaining = iter(outputs)

    def again(match: re.Match[str]) -> str:
        if match["kind"] != "console":
            return match[0]
        lines: list[str] = []
        for step in steps(match["body"]):
            lines += [f"$ {step.command}", *next(remaining)]
        return match[0].replace(match["body"], "\n".join(lines) + "\n")

    page.write_text(BLOCK.sub(again, text), encoding="utf-8")


if __name__ == "__main__":
    for each in PAGES:
        renew(each)
