"""The command group, and how every way a command can end becomes an exit code.

Codes: 0 builds exist, 1 none, 2 bad input or usage, 3 bad catalog, 70 a fault of the program,
130 stopped by the user, 141 whoever read the output stopped reading.
"""

from __future__ import annotations

import errno
import gc
import os
import sys
import traceback
import warnings
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

import click

from configurator.cli.terminal import OutputClosedError, close_output, complain, occupy_streams
from configurator.errors import HeadwrightError, did_you_mean, shown

DEBUG_VARIABLE = "HEADWRIGHT_DEBUG"
"""Environment variable that asks for the traceback of an internal error."""

INTERNAL, STOPPED, PIPE_CLOSED = 70, 130, 141
"""EX_SOFTWARE of sysexits.h; 128 + SIGINT; 128 + SIGPIPE."""

COMMANDS = {
    "builds": "configurator.cli.builds:builds",
    "shortlist": "configurator.cli.builds:shortlist",
    "common": "configurator.cli.builds:common",
    "why": "configurator.cli.why:why",
    "compare": "configurator.cli.why:compare",
    "measure": "configurator.cli.why:measure",
    "screen": "configurator.cli.screen:screen",
    "gaps": "configurator.cli.gaps:gaps",
    "tui": "configurator.cli.tui:tui",
    "material": "configurator.cli.material:material",
    "evidence": "configurator.cli.evidence:evidence",
    "catalog": "configurator.cli.catalog:catalog",
    "new": "configurator.cli.new:new",
    "sheet": "configurator.cli.sheet:sheet",
    "trial": "configurator.cli.trial:trial",
    "examples": "configurator.cli.catalog:examples",
}
"""Command names in the order in which help lists them, each with its module and function."""


COMPLETING = "_HEADWRIGHT_COMPLETE"
"""Environment variable in which a shell asks for what could stand behind a half-typed word."""


class LateGroup(click.Group):
    """A group that imports a command when it is asked for; the commands import late as well."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Names of all commands, in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import a command by its name."""
        if cmd_name not in COMMANDS:
            return None
        module, _, function = COMMANDS[cmd_name].partition(":")
        command = getattr(import_module(module), function)
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that is called, or say which one was meant."""
        name = args[0]
        if name not in COMMANDS and not name.startswith("-") and not ctx.resilient_parsing:
            hint = did_you_mean(name, COMMANDS)
            ctx.fail(f"no command '{shown(name)}'" + (f"; {hint}" if hint else ""))
        return super().resolve_command(ctx, args)


def _show_version(ctx: click.Context, _parameter: click.Parameter, wanted: bool) -> None:  # noqa: FBT001 - click calls it so
    if not wanted or ctx.resilient_parsing:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        number = version("headwright")
    except PackageNotFoundError:
        number = "of a checkout that is not installed"
    click.echo(f"headwright {number}")
    ctx.exit()


@click.group(
    cls=LateGroup,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="""\b
Example:
  headwright builds lid-sealant lid-bead""",
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and exit.",
)
def headwright() -> None:
    """List every valid build of a metering head for a material and a process.

    Data go to standard output, everything else to standard error. Exit codes: 0 a build
    exists, 1 none does, 2 bad input or usage, 3 bad catalog.
    """


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit code; nothing escapes.

    Parameters
    ----------
    arguments : sequence of str, optional
        As typed behind the command's name; those of the process if left out.
    """
    try:
        code = headwright.main(
            None if arguments is None else list(arguments),
            prog_name="headwright",
            standalone_mode=False,
        )
        close_output()
    except click.ClickException as error:
        return _usage(error)
    except HeadwrightError as error:
        complain(str(error))
        return error.exit_code
    except (OutputClosedError, SystemExit) as error:
        # Click ends by itself once it has completed a half-typed word, and else for a closed pipe.
        done = COMPLETING in os.environ and isinstance(error, SystemExit) and error.code == 0
        return 0 if done else PIPE_CLOSED
    except (click.Abort, KeyboardInterrupt):
        complain("stopped")
        return STOPPED
    except Exception as error:  # noqa: BLE001 - the last place where a fault can be told
        return _internal(error)
    return code if isinstance(code, int) else 0


def _usage(error: click.ClickException) -> int:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        error.show()
        return error.exit_code
    told = shown(error.format_message(), 400)
    context = error.ctx if isinstance(error, click.UsageError) else None
    complain(told if context is None else f"{told} ({context.command_path} --help)")
    return 2


def _internal(error: Exception) -> int:
    if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
        complain(f"{shown(str(error.filename), 120)}: a name longer than a file system takes")
        return 2
    if os.environ.get(DEBUG_VARIABLE):
        traceback.print_exception(error)
    complain(
        f"internal error: {type(error).__name__}: {shown(str(error), 300)}; "
        f"set {DEBUG_VARIABLE}=1 to see where"
    )
    return INTERNAL


def main() -> NoReturn:
    """Run the command of this process and end it."""
    # A command makes much and drops little in cycles: the usual 700 new objects between two
    # looks for garbage cost a sixth of a short command, and a look while it still imports 30 ms.
    gc.set_threshold(300_000, 20, 20)
    # Its arrays are small: threads of the linear algebra would only wait for one another, busily.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    occupy_streams()
    if DEBUG_VARIABLE not in os.environ and not sys.warnoptions:
        warnings.simplefilter("ignore")  # of a library: nothing that a user can mend
    code = run()
    gc.freeze()  # so that Python does not look through all of it once more as it ends
    sys.exit(code)
