"""Two folders change places at one stroke, where the system can do that."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100
"""The working folder instead of an open one (by definition, Linux's fcntl.h). Another is no
folder."""

_RENAME_EXCHANGE = 2
"""Exchange two paths (by definition: Linux, ``linux/fcntl.h`` and ``linux/fs.h``, see
renameat2(2)). Another number replaces one by the other."""

_RENAME_SWAP = 2
"""Exchange two paths (by definition: macOS, ``sys/stdio.h``, see renamex_np(2)). Another number
replaces one by the other."""

_NOT_HERE = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP)


def exchange(one: Path, other: Path) -> bool:
    """Let two folders of one file system change places; return False where that cannot be done.

    Raises:
        OSError: the system refused it for another reason.
    """
    paths = os.fsencode(one), os.fsencode(other)
    try:
        library = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            failed = library.renamex_np(*paths, _RENAME_SWAP)
        else:
            failed = library.renameat2(_AT_FDCWD, paths[0], _AT_FDCWD, paths[1], _RENAME_EXCHANGE)
    except (AttributeError, OSError, TypeError):  # the library has no such call, or none is found
        return False
    if not failed:
        return True
    code = ctypes.get_errno()
    if code in _NOT_HERE:
        return False
    raise OSError(code, os.strerror(code), str(one))
