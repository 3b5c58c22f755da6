"""What a command may write over: the option that allows it, and the files it reads."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

replace_option = click.option(
    "--replace",
    is_flag=True,
    help="Write over a file that Livery did not make, or that was edited since.",
)


def input_files(*outputs: str) -> frozenset[Path]:
    """Return every file that the running command reads, with the files that those name.

    They are found among all its parameters, whatever their kind, but ``outputs``: a parameter
    that is added to a command is looked at without more.
    """
    from livery.describe.named_files import named_files
    from livery.toml.read import is_file

    parameters = click.get_current_context().params
    given = [value for name, value in parameters.items() if name not in outputs]
    files = [path for path in map(Path, _texts(given)) if is_file(path)]
    return frozenset(read for file in files for read in named_files(file))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str | Path) and str(value) and "\0" not in str(value):
        yield str(value)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner)
