"""The command line: one module a command, found by its name and imported only when used."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextvars import copy_context
from importlib import import_module
from pkgutil import iter_modules

import click

from livery import __version__
from livery.findings import LiveryError

COMMAND_GROUPS = (
    ("Describe a job", ["new", "check", "preview", "open", "sizes", "keys", "schema"]),
    ("Make it", ["build", "prove"]),
    (
        "Measure photographs and drawings",
        [
            "pick",
            "measure",
            "trace",
            "trace-plate",
            "survey",
            "straighten",
            "overlay",
            "sample",
            "match",
            "old-photo",
        ],
    ),
    (
        "Find and compare colours",
        [
            *("nearest", "difference", "convert-colour", "seen", "finish"),
            *("palette", "read-deck", "colour-card"),
        ],
    ),
    (
        "Mix paint",
        ["mix", "predict", "adjust-batch", "calibrate", "strengths", "next-card"],
    ),
    ("Keep a record", ["book", "again"]),
)
"""The commands by what one is doing, in the order of the work."""


def _talk_options() -> list[click.Parameter]:
    """Return the options that every command has."""
    from livery.cli._say import TALK, Talk

    def set_talk(_: click.Context, option: click.Parameter, is_given: bool) -> None:
        if is_given:
            TALK.set(Talk.QUIET if option.name == "quiet" else Talk.VERBOSE)

    said = {
        "quiet": "Show faults only: no warnings, notes or progress.",
        "verbose": "Show each step on its own line as it is done.",
    }
    return [
        click.Option(
            [f"-{name[0]}", f"--{name}"],
            is_flag=True,
            expose_value=False,
            callback=set_talk,
            help=words,
        )
        for name, words in said.items()
    ]


class CommandFolder(click.Group):
    """A group whose commands are the modules of this package, each with a ``command``."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands' names, in order."""
        names = (module.name for module in iter_modules(__path__))
        return sorted(name.replace("_", "-") for name in names if not name.startswith("_"))

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the commands under what one is doing, each with its short help."""
        known = self.list_commands(ctx)
        named = [name for _, names in COMMAND_GROUPS for name in names]
        others = ("Other", [name for name in known if name not in named])
        for heading, names in (*COMMAND_GROUPS, others):
            rows = [
                (n, c.get_short_help_str(100)) for n in names if (c := self.get_command(ctx, n))
            ]
            if rows:
                with formatter.section(heading):
                    formatter.write_dl(rows)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command, importing its module now."""
        if cmd_name not in self.list_commands(ctx):
            return None
        found = import_module(f"{__name__}.{cmd_name.replace('-', '_')}").command
        assert isinstance(found, click.Command)
        if not any(option.name == "quiet" for option in found.params):
            found.params += _talk_options()
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; offer the nearest name if there is no such command."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            meant = MEANT_COMMANDS.get(args[0].lower())
            close = [meant] if meant else self._near(args[0], ctx)
            if not close:
                raise
            raise click.UsageError(f'{error.message} Did you mean "{close[0]}"?', ctx) from None

    def _near(self, word: str, ctx: click.Context) -> list[str]:
        from difflib import get_close_matches

        return get_close_matches(word, self.list_commands(ctx), n=1, cutoff=0.6)


MEANT_COMMANDS = {
    "help": "livery --help",
    "init": "new",
    "start": "new",
    "create": "new",
    "make": "build",
    "run": "build",
    "generate": "build",
    "archive": "build --archive",
    "validate": "check",
    "lint": "check",
    "verify": "prove",
    "test": "prove",
    "view": "preview",
    "show": "preview",
    "serve": "open",
    "edit": "open",
    "photo": "sample",
    "recipe": "mix",
    "card": "colour-card",
    "color-card": "colour-card",
    "convert-color": "convert-colour",
}
"""The command that is meant by another word for it."""


@click.group(cls=CommandFolder, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="livery")
@click.option(
    "--no-cache",
    is_flag=True,
    help="Calculate everything again, and keep nothing in the cache folder.",
)
def livery(no_cache: bool) -> None:
    """From drawings and photographs to finished paint on metal, from one description.

    Start with "livery new", check your description with "livery check", and make all its files with
    "livery build".
    """
    if no_cache:
        os.environ["LIVERY_CACHE"] = "off"


livery.params += _talk_options()


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; report any error without a traceback; return the exit status.

    Linear algebra keeps to one thread: the matrices are small, waiting for threads costs more
    than they save, and results do not depend on how many cores there are.

    Raises:
        KeyboardInterrupt: Ctrl-C was pressed.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # No other package's plugin has a say in what a description may hold, and none is looked for.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    given = sys.argv[1:] if arguments is None else list(arguments)
    try:
        return copy_context().run(_status_of, given)
    except LiveryError as error:
        from livery.cli._say import say_findings, say_json

        if "--json" in given:
            data = [finding.as_data() for finding in error.findings]
            say_json({"findings": data, "exit_status": error.exit_status})
        else:
            say_findings(error.findings)
        return error.exit_status
    except Exception as error:
        from livery.cli._unexpected import say_unexpected

        return say_unexpected(error, given)


def _status_of(arguments: Sequence[str]) -> int:
    """Run a command and return its exit status; what click has to say, it says."""
    try:
        ended_with = livery.main(arguments, prog_name="livery", standalone_mode=False)
    except click.UsageError as error:
        from livery.cli._arguments import argument_fault

        raise argument_fault(error) from None
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except click.Abort as aborted:
        if isinstance(aborted.__cause__, KeyboardInterrupt):
            raise aborted.__cause__ from None
        return 1  # the end of the input where an answer was asked for
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    return ended_with if isinstance(ended_with, int) else 0
