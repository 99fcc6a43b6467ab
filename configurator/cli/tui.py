"""`headwright tui`: the same questions on one screen."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.builds import exclusions_from, picks_from
from configurator.cli.measured import evidence_option, open_evidence
from configurator.cli.opening import catalog_option, examples_folder, open_catalog
from configurator.errors import UsageError

if TYPE_CHECKING:
    from configurator.tui.session import Session


@click.command(
    short_help="Narrow, explore and understand the builds on one screen.",
    epilog="""\b
Examples:
  headwright tui
  headwright tui lid-sealant lid-bead --theme light
  headwright tui my-paste.toml my-bead.toml --pick stator=fkm-l --ascii""",
)
@click.argument("material", metavar="[MATERIAL]", required=False)
@click.argument("process", metavar="[PROCESS]", required=False)
@catalog_option
@evidence_option
@click.option("--pick", "picks", metavar="SLOT=PART", multiple=True, help="Start with this part.")
@click.option("--without", metavar="SLOT=PART", multiple=True, help="Start without this part.")
@click.option(
    "--theme",
    type=click.Choice(["dark", "light", "mono"]),
    default="dark",
    show_default=True,
    help="Colours; with NO_COLOR set it is mono.",
)
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with plain ASCII alone.")
@click.option("--no-mouse", is_flag=True, help="Leave the mouse to the terminal.")
@click.option("--fresh", is_flag=True, help="Start empty; the last session stays on disk.")
def tui(  # noqa: PLR0917 - click passes options by name
    material: str | None,
    process: str | None,
    folder: Path | None,
    findings: Path | None,
    picks: tuple[str, ...],
    without: tuple[str, ...],
    theme: str,
    ascii_only: bool,  # noqa: FBT001
    no_mouse: bool,  # noqa: FBT001
    fresh: bool,  # noqa: FBT001
) -> None:
    """Open the screen, with MATERIAL and PROCESS or with what was on it last.

    MATERIAL and PROCESS are files, or names of shipped examples. Every change is kept on disk
    at once; nothing is lost by leaving. Each result can be had from `headwright builds` too,
    in plain lines: the key l shows the command.
    """
    if material is not None and process is None:
        raise UsageError("a MATERIAL comes with a PROCESS", "headwright tui lid-sealant lid-bead")
    chosen, excluded = picks_from(picks), exclusions_from(without, picks_from(picks))
    if (chosen or excluded) and material is None:
        raise UsageError("--pick and --without come with a MATERIAL and a PROCESS")

    from configurator.configure import configure
    from configurator.tui.app import HeadwrightApp
    from configurator.tui.autosave import bring_back, session_folder, set_aside
    from configurator.tui.glyphs import needs_ascii
    from configurator.tui.session import Session

    catalog, evidence = open_catalog(folder), open_evidence(findings)
    session = Session(catalog, examples_folder())
    kept = session_folder()
    if material is not None and process is not None:
        start(session, material, process, picks=chosen, without=excluded)
    if material is not None or fresh:
        _set_aside(set_aside, kept)
    else:
        bring_back(session, kept)
    app = HeadwrightApp(
        session,
        folder=kept,
        theme=theme,
        ascii_only=ascii_only or needs_ascii(),
        options=_options(folder, findings),
        solve=lambda request: configure(request, catalog, evidence),
    )
    app.run(mouse=not no_mouse)


def start(
    session: Session,
    material: str,
    process: str,
    *,
    picks: Mapping[str, str],
    without: Mapping[str, frozenset[str]],
) -> None:
    """Put a question to a fresh session.

    Raises
    ------
    InputError
        If a file, a slot or a part does not exist.
    """
    session.open("material", material)
    session.open("process", process)
    session.start_with(picks, without)


def _options(folder: Path | None, findings: Path | None) -> list[str]:
    """What `builds` has to be given too, to say the same."""
    options = [] if folder is None else ["--catalog", str(folder)]
    return options if findings is None else [*options, "--evidence", str(findings)]


def _set_aside(set_aside: Callable[[Path], None], kept: Path) -> None:
    """A folder that cannot be written is told on the screen, at the first change."""
    with contextlib.suppress(OSError):
        set_aside(kept)
