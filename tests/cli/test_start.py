"""A command imports what it uses: what a check brings in is counted, never timed."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[1] / "bench"
ENGINE = Path(__file__).parents[2] / "demo" / "no-318" / "job.toml"
USES = {"_cffi_backend", "annotated_types", "click", "fontTools", "livery", "numpy", "pydantic"}
USES |= {"pydantic_core", "shapely", "tree_sitter", "tree_sitter_toml", "typing_extensions"}
USES |= {"typing_inspection"}
LETTERS_USE = {"pathops", "uharfbuzz"}
MEASURES_USE = {"charset_normalizer", "scipy"}
"""The thin places of a region are found on a Voronoi diagram, which brings the other in."""


def imported_by(*arguments: str) -> set[str]:
    """Return the modules a command has imported when it ends."""
    code = f"""
import sys
from livery.cli import run
assert run({list(arguments)!r}) == 0
print("\\n" + " ".join(sys.modules))
"""
    ended = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, encoding="utf-8"
    )
    return set(ended.stdout.splitlines()[-1].split())


def outside(modules: set[str]) -> set[str]:
    """Return the packages that are not the interpreter's own."""
    tops = {name.partition(".")[0] for name in modules}
    return {t for t in tops if t not in sys.stdlib_module_names and not t.startswith("_")}


@pytest.fixture
def plain(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.syspath_prepend(str(BENCH))
    import jobs

    file = tmp_path / "plain.toml"
    file.write_text(jobs.plain_job())
    return file


def test_a_plain_check_imports_the_libraries_it_works_with(plain: Path) -> None:
    modules = imported_by("check", str(plain))
    assert outside(modules) - USES - {"sitecustomize", "cython_runtime"} == set()


def test_a_plain_check_imports_no_part_it_has_no_use_for(plain: Path) -> None:
    ours = {m for m in imported_by("check", str(plain)) if m.startswith("livery.")}
    parts = {m.split(".")[1] for m in ours}
    assert parts & {"write", "prove", "survey", "alphabet", "plate"} == set()
    none_of = {"livery.colour.palette", "livery.colour.mixing.model", "livery.lettering.stencil"}
    assert ours & none_of == set()
    # Now 144; a new part of the description has room.
    assert len(ours) < 150


def test_a_plain_check_searches_for_no_garbage_neither_at_work_nor_at_its_end(plain: Path) -> None:
    code = f"""
import atexit, gc, sys
searches = []
gc.callbacks.append(lambda phase, info: searches.append(phase))
sys.argv = ["livery", "check", {str(plain)!r}]
from livery.start import main
began = len(searches)
atexit.register(lambda: print(len(searches) - began, gc.get_freeze_count() > 10_000))
main()
"""
    ended = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert ended.stdout.splitlines()[-1] == "0 True"


def test_a_check_of_letters_imports_no_writer() -> None:
    extra = outside(imported_by("check", str(ENGINE))) - USES
    assert extra - {"sitecustomize", "cython_runtime"} <= LETTERS_USE | MEASURES_USE


@pytest.mark.parametrize("arguments", [("--help",), ("check", "--help")])
def test_help_imports_the_command_line_alone(arguments: tuple[str, ...]) -> None:
    assert outside(imported_by(*arguments)) <= {"click", "livery", "sitecustomize"}


def test_no_validator_is_built_before_a_description_is_read() -> None:
    code = """
import livery.describe.entries.description, livery.describe.entries.plate
from livery.toml.entry import Entry

def below(kind):
    return [k for own in kind.__subclasses__() for k in (own, *below(own))]

assert len(below(Entry)) > 50
print([k.__name__ for k in below(Entry) if k.__pydantic_complete__])
"""
    ended = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, encoding="utf-8"
    )
    assert ended.stdout.strip() == "[]"


def test_a_check_builds_the_validators_of_the_tables_it_reads_and_no_others(plain: Path) -> None:
    code = f"""
from livery.cli import run
from livery.toml.entry import Entry

def below(kind):
    return [k for own in kind.__subclasses__() for k in (own, *below(own))]

assert run(["check", {str(plain)!r}]) == 0
print(*[k.__name__ for k in below(Entry) if k.__pydantic_complete__])
"""
    ended = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, encoding="utf-8"
    )
    built = {*ended.stdout.splitlines()[-1].split()}
    written = {"DescriptionModel", "FieldEntry", "Job", "Lining", "Paint", "Panel", "Shape"}
    assert built == written | {"Film", "Strand"}  # the usual film; a lining of one strand


def test_nothing_slow_is_imported_before_ctrl_c_is_quiet() -> None:
    code = (
        "import sys; before = {*sys.modules}; import livery.start; print({*sys.modules} - before)"
    )
    ended = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    brought = {m for m in ast.literal_eval(ended.stdout) if not m.startswith(("_", "livery"))}
    assert brought <= {
        "enum",
        "functools",
        "gc",
        "collections",
        "keyword",
        "operator",
        "reprlib",
        "signal",
        "types",
        "itertools",
    }
