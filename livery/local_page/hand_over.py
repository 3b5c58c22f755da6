"""The made files, handed over by the page: each file, and all of them as one archive."""

from __future__ import annotations

import threading
from typing import Any

from livery.findings import fault
from livery.local_page.open_job import OpenJob


class HandOver:
    """Makes the files of a job from its saved files, and keeps them until they are made again."""

    def __init__(self, job: OpenJob) -> None:
        self._job = job
        self._lock = threading.Lock()
        self._made: tuple[int, dict[str, bytes]] | None = None

    def make(self) -> dict[str, Any]:
        """Make everything that the job asks for; return the list of files.

        Raises LiveryError where the job has a fault or cannot be made.
        """
        from livery.pipeline import make_files, require_sound

        with self._lock:
            version = self._job.version
            if self._made is None or self._made[0] != version:
                examined = self._job.examined
                require_sound(examined)
                files, lines = make_files(examined)
                self._made = (version, files)
                self._lines = lines
            files = self._made[1]
            return {
                "version": version,
                "notes": list(self._lines),
                "archive": self.archive_name,
                "files": [{"name": n, "bytes": len(files[n])} for n in sorted(files)],
            }

    @property
    def archive_name(self) -> str:
        """The name of the archive: that of the folder a build is written to."""
        return f"{self._job.file.stem}-build.zip"

    def file(self, name: str) -> bytes:
        """Return one of the files that were made."""
        made = self._made
        if made is None or name not in made[1]:
            raise fault("not-made", "this is not made yet", "Make everything first.")
        return made[1][name]

    def archive(self) -> bytes:
        """Return all that was made as one archive; the same files give the same bytes."""
        from livery.write.archive import archive_bytes

        if self._made is None:
            raise fault("not-made", "nothing is made yet", "Make everything first.")
        return archive_bytes(self._made[1], f"{self._job.file.stem}-build")
