"""A function of an imported file is changed where it is, also one that its class or cache holds."""

import importlib.util
import os
import signal
import sys
import types
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.mutants.constants import Constants
from tests.mutants.in_place import change_functions, functions_of
from tests.mutants.sessions import Session as SessionInCopy
from tests.mutants.trial import FAILED, LEAST_PATIENCE_S, PASSED, limit, run_items, tried

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
    found = [saw.cut.__wrapped__, saw.Saw.teeth.fget]
    functions = [(f, f.__code__) for f in found if isinstance(f, types.FunctionType)]
    after = SAW.replace(b"a - 1", b"a + 1").replace(b"7 + 1", b"7 - 1")
    assert change_functions(functions, SAW, after)
    assert (saw.cut(5), saw.Saw().teeth) == (6, 6)
    assert not change_functions(functions, SAW, SAW)
    assert saw.Saw().teeth == 8


class Item:
    """A test that counts itself, and fails if it is to."""

    def __init__(self, fails: bool = False, does: Callable[[], None] = lambda: None) -> None:
        self.fails, self.does, self.ihook = fails, does, self
        self.session = Session()

    def pytest_runtest_protocol(self, item: "Item", nextitem: "Item | None") -> None:
        self.does()
        self.session.testsfailed += self.fails


class Session:
    testsfailed = 0


def one_session(items: list[Item]) -> list[Item]:
    for item in items:
        item.session = items[0].session
    return items


def test_tests_are_run_in_their_order_until_one_fails() -> None:
    items = one_session([Item(), Item(fails=True), Item()])
    begun: list[float] = []
    assert run_items(items[0].session, items, [0.0, 2.0, 0.0], begun.append) == FAILED
    assert begun == [LEAST_PATIENCE_S, limit(2.0)] and limit(2.0) == 10.0
    assert run_items(Session(), one_session([Item(), Item()]), [0.0, 0.0], begun.append) == PASSED


def test_a_trial_tells_at_which_test_it_ended_and_how() -> None:
    def trial(item: Item, most: float = 60.0) -> tuple[int, bool, bool]:
        items = one_session([Item(), item, Item()])

        def run(begin: Callable[[float], None]) -> int:
            return run_items(items[0].session, items, [0.0] * 3, lambda _: begin(most))

        outcome = tried(run)
        return outcome.begun, outcome.failed, outcome.endless

    def endless() -> None:
        while True:
            pass

    assert trial(Item()) == (3, False, False)
    assert trial(Item(fails=True)) == (2, True, False)
    assert trial(Item(does=lambda: os.kill(os.getpid(), signal.SIGKILL))) == (2, True, False)
    assert trial(Item(does=endless), most=0.05) == (2, False, True)


def test_a_fault_of_the_trial_itself_is_no_test_that_fails(
    capfd: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(RuntimeError, match="ended with 3"):
        tried(lambda begin: begin(60.0) or [][1])
    assert "IndexError" in capfd.readouterr().err


def test_the_functions_of_a_file_are_found_until_they_are_frozen(tmp_path: Path) -> None:
    here = Path(__file__)
    names = {f.__name__ for f, _ in functions_of(here)}
    assert {"one_session", "__init__", "pytest_runtest_protocol"} <= names
    assert functions_of(tmp_path / "none.py") == []


def test_a_constant_is_changed_with_all_that_is_made_from_it_and_imports_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    texts = {
        "saw_constants": "KERF = 2.0\nBOTH: float = 2.0 * KERF\n"
        "def cut(at, by=KERF, *, off=BOTH):\n    return at - by - off - KERF\n"
        "class Saw:\n    kerf = EDGE = 7\n",
        "bench_constants": "from saw_constants import BOTH as B, KERF\nWIDE = B + 1.0\n",
        "vice_constants": "from bench_constants import WIDE\nclass Vice:\n    wide = WIDE\n",
    }
    monkeypatch.syspath_prepend(tmp_path)
    for name, text in texts.items():
        (tmp_path / f"{name}.py").write_text(text)
    saw, bench = (importlib.import_module(name) for name in list(texts)[:2])
    text = texts["saw_constants"]
    constants = Constants(tmp_path)
    assert constants.change("saw_constants", text.replace("KERF = 2.0", "KERF = 3.0").encode())
    assert (saw.BOTH, bench.B, bench.KERF, bench.WIDE) == (6.0, 6.0, 3.0, 7.0)
    assert saw.cut(20.0) == 20.0 - 3.0 - 6.0 - 3.0
    # A class that is made with it is not made again.
    assert not constants.change("saw_constants", text.replace("EDGE = 7", "EDGE = 8").encode())
    vice = importlib.import_module("vice_constants")
    constants = Constants(tmp_path)
    assert not constants.change("saw_constants", text.replace("KERF = 2.0", "KERF = 4.0").encode())
    assert vice.Vice.wide == 7.0
    for name in texts:
        del sys.modules[name]


def test_a_constant_with_which_something_cannot_be_made_is_left_to_a_new_session(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = "WIDTHS = (2, 6)\nSIX = next(w for w in WIDTHS if w == 6)\ndef cut(by=WIDTHS[1]):\n    return by\n"
    (tmp_path / "blade_constants.py").write_text(text)
    monkeypatch.syspath_prepend(tmp_path)
    importlib.import_module("blade_constants")
    constants = Constants(tmp_path)
    for after in ("(3, 6)", "(2, 8)", "(6,)"):
        assert constants.change("blade_constants", text.replace("(2, 6)", after).encode()) is (
            after == "(3, 6)"
        )
    del sys.modules["blade_constants"]


def test_a_fixture_is_shared_that_a_test_with_a_folder_of_its_own_uses_too(tmp_path: Path) -> None:
    before, test = b"def teeth(count):\n    return count + 1\n", "tests/test_saw.py::test_teeth"
    texts = {
        "livery/__init__.py": b"",
        "livery/saw.py": before,
        "tests/conftest.py": b"import pytest\n@pytest.fixture(scope='session')\ndef six():\n    return 6\n",
        "tests/test_saw.py": b"from livery import saw\ndef test_teeth(six, tmp_path):\n"
        b"    (tmp_path / 'a').touch()\n    assert saw.teeth(six) == 7\n",
    }
    for name, text in texts.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(text)
    session = SessionInCopy(tmp_path, ["tests/test_saw.py"], ["livery.saw"])
    try:
        assert session.tests == [test]
        session.begin("livery/saw.py", [test], of_constants=False)
        for after, noticed in ((before, False), (before.replace(b"+", b"-"), True)):
            assert session.try_change((before, after), [test], [0.0]).failed is noticed
    finally:
        session.end()
