"""Damaged files: any error that a library's parser raises becomes a fault about the file.

The parsers of other libraries promise no kind of error for a file that is cut short, damaged
or made to mislead.  Their own words are not passed on: they may quote the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from livery.findings import Finding, LiveryError

_LINE = re.compile(r"\bline:? (\d{1,9})\b", re.IGNORECASE)


@contextmanager
def parsing(
    file: Path, kind: str, remedy: str, *, code: str = "", exit_status: int = 2
) -> Iterator[None]:
    """Raise LiveryError about ``file`` for any error of the parser that runs inside.

    Args:
        file: The file being read.
        kind: What it should be, with its article: "an SVG file".
        remedy: What to do instead.
        code: The code of the fault; "file-damaged" unless given.
        exit_status: That of the fault; 1 for a file that Livery itself has written.
    """
    try:
        yield
        return
    except (LiveryError, MemoryError):
        raise
    except FileNotFoundError:
        words, remedy = f'there is no file "{file}"', "Check its name."
        code = code or "file-missing"
    except RecursionError:
        words = f'"{file}" is nested too deep to be {kind}'
    except Exception as error:  # any at all: see above
        if isinstance(error, OSError) and error.strerror:
            words = f'"{file}" cannot be read as {kind}: {error.strerror.lower()}'
            raise LiveryError(
                [Finding(code or "file-unread", words, remedy)], exit_status
            ) from None
        line = _LINE.search(str(error))
        at = f", at line {line[1]}" if line else ""
        words = f'"{file}" cannot be read as {kind}: it is damaged, or of another kind{at}'
    found = Finding(code or "file-damaged", words, remedy)
    raise LiveryError([found], exit_status) from None
