"""The sheet as a browser prints it: all of it on the paper, nothing over the edge, in grey.

Runs where headless Chromium and the tools of poppler are installed, and passes over elsewhere.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from configurator.report.sheet import sheet_html
from configurator.report.sheet_data import sheet_data
from configurator.report.trial_plan import plan_page
from configurator.trial.blocks import PURPOSE
from configurator.trial.head import head_of
from configurator.trial.planning import TrialAims, plan_trial

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        not (BROWSER and shutil.which("pdftotext") and shutil.which("pdftoppm")),
        reason="no headless Chromium, or no poppler",
    ),
]

PIXELS_A_MM = 50 / 25.4


PAIRS = ["lid-sealant lid-bead", "bay-potting bay-potting-pour", "bracket-acrylate bracket-bead"]
"""The last has more rows of settings and cautions than any other."""


def print_page(html: str, folder: Path) -> Path:
    """Print a page as a browser does, without its head and foot lines."""
    page, paper = folder / "page.html", folder / "page.pdf"
    page.write_text(html, encoding="utf-8")
    subprocess.run(
        [
            str(BROWSER),
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            f"--user-data-dir={folder / 'profile'}",
            "--no-pdf-header-footer",
            f"--print-to-pdf={paper}",
            page.as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return paper


@pytest.fixture(scope="module", params=PAIRS)
def printed(request, ask, tmp_path_factory):
    answer = ask(*request.param.split())
    data = sheet_data(answer, answer.builds(limit=1)[0])
    return data, print_page(sheet_html(data), tmp_path_factory.mktemp("printed"))


@pytest.fixture(scope="module", params=PAIRS)
def printed_plan(request, ask, tmp_path_factory):
    answer = ask(*request.param.split())
    build = answer.builds(limit=1)[0]
    head = head_of(answer.subject, build.parts)
    plan, sizing = plan_trial(head, TrialAims(), build.findings)
    html = plan_page(plan, sizing, head, answer.cautions)
    return plan, print_page(html, tmp_path_factory.mktemp("planned"))


def squeezed(text: str) -> str:
    """Text without blanks and hyphens, which a line break may move."""
    return re.sub(r"[\s\f-]+", "", text)


def test_every_setting_and_caution_is_on_two_pages_of_paper(printed):
    data, paper = printed
    told = subprocess.run(
        ["pdftotext", "-raw", str(paper), "-"], check=True, capture_output=True, timeout=60
    ).stdout.decode()
    text = squeezed(told)

    assert len(pages(paper, grey=True)) == 2
    for each in data.bought:
        assert squeezed(each.part.title) in text
    for setting in data.settings:
        assert squeezed(setting.span) in text, setting.name
    for caution in data.cautions:
        assert squeezed(caution.topic) in text


def pages(paper: Path, *, grey: bool) -> list[np.ndarray]:
    """Pages as pixels, read from the plain formats that poppler writes."""
    raw = subprocess.run(
        ["pdftoppm", "-r", "50", *(["-gray"] if grey else []), str(paper)],
        check=True,
        capture_output=True,
        timeout=120,
    ).stdout
    found, depth = [], 1 if grey else 3
    while raw:
        head = re.match(rb"P[56]\s+(\d+)\s+(\d+)\s+255\s", raw)
        assert head is not None
        wide, high = int(head[1]), int(head[2])
        size = wide * high * depth
        body = raw[head.end() : head.end() + size]
        found.append(np.frombuffer(body, dtype=np.uint8).reshape(high, wide, depth))
        raw = raw[head.end() + size :]
    return found


def test_every_run_of_a_plan_has_its_line_on_the_paper(printed_plan):
    plan, paper = printed_plan
    told = subprocess.run(
        ["pdftotext", "-layout", str(paper), "-"], check=True, capture_output=True, timeout=60
    ).stdout.decode()
    numbers = re.findall(rf"^\s*(\d+)\s+(?:{'|'.join(PURPOSE)})", told, flags=re.MULTILINE)

    assert [int(number) for number in numbers] == [run.number for run in plan.runs]


def test_nothing_runs_over_the_margins(printed, printed_plan):
    for _, paper in (printed, printed_plan):
        assert_within_margins(paper)


def assert_within_margins(paper: Path) -> None:
    edge = int(10 * PIXELS_A_MM)
    found = pages(paper, grey=True)

    assert len(found) > 1
    for page in found:
        assert page.shape[0] / page.shape[1] == pytest.approx(297 / 210, rel=0.01)
        for side in (page[:, :edge], page[:, -edge:], page[:edge], page[-edge:]):
            assert side.min() > 200


def test_it_is_grey_and_the_charts_have_dark_and_light(printed):
    _, paper = printed
    found = pages(paper, grey=False)

    for page in found:
        assert int(np.ptp(page.astype(int), axis=2).max()) <= 2
    middle = np.concatenate([page[:, :, 0].ravel() for page in found])
    assert ((middle > 100) & (middle < 240)).mean() > 0.005
