"""A function of an imported file is changed where it is, also one that its class or cache holds."""

import importlib.util
from pathlib import Path
from typing import Any

from tests.mutants.in_place import change_functions, run

SAW = b"""\
from functools import cache

@cache
def cut(at):
    return [a - 1 for a in (at,)][0]

class Saw:
    @property
    def teeth(self):
        return 7 + 1
"""


def test_functions_properties_and_what_is_cached_are_changed_where_they_are(tmp_path: Path) -> None:
    file = tmp_path / "saw.py"
    file.write_bytes(SAW)
    spec = importlib.util.spec_from_file_location("saw", file)
    assert spec is not None and spec.loader is not None
    saw = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(saw)
    change_functions(file, SAW.replace(b"a - 1", b"a + 1").replace(b"7 + 1", b"7 - 1"))
    assert (saw.cut(5), saw.Saw().teeth) == (6, 6)


class Session:
    """Counts tests that fail, as the session of pytest does."""

    def __init__(self) -> None:
        self.testsfailed, self.ran = 0, []  # type: ignore[var-annotated]
        self.config = self.hook = self

    def pytest_runtest_protocol(self, item: str, nextitem: Any) -> None:
        self.ran.append((item, nextitem))
        self.testsfailed += item == "fails"


def test_tests_are_run_in_their_order_until_one_fails() -> None:
    session = Session()
    assert run(session, ["a", "fails", "c"]) == 1
    assert session.ran == [("a", "fails"), ("fails", "c")]
    assert run(Session(), ["a", "b"]) == run(Session(), []) == 0
