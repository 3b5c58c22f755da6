"""Change one number or sign of a module at a time, and tell which changes no test notices.

    python -m tests.mutants livery/units.py livery/geometry
    python -m tests.mutants livery/make/film --kinds signs,comparisons --seconds 1
    python -m tests.mutants livery/make/sheets --sample 3 --seed 7
    python -m tests.mutants --standing
    python -m tests.mutants --equivalents

Works in a copy, never in the tree itself.  Each change is tried in a process of its own by those
tests that run the changed line, of the tests that cover its module (the mirrored folder, what
``coverage.toml`` names, and ``--also``): those that are likeliest to notice it for their time
come first, up to ``--seconds`` of them, and where none notices it, up to ``--longer``.  What was
tried is written to ``tried.toml``, and modules that are as they were then are passed over.  What
no test notices is listed, and the exit status is 1; what ``equivalents.toml`` gives a reason for
is not tried.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path

from tests.mutants import tried
from tests.mutants.covering import covering, equivalents, modules, parted
from tests.mutants.mutations import Mutation, mutations
from tests.mutants.sessions import TREE, copied
from tests.mutants.trials import Trials

KINDS = ("numbers", "signs", "comparisons")
EVERYTHING = ("units.py", "geometry", "layout", "make", "vehicles", "surfaces")


def main() -> int:
    """Run the command; return 1 if a change went unnoticed."""
    parser = _parser()
    asked = parser.parse_args()
    asked.kinds = asked.kinds.split(",")
    if not set(asked.kinds) <= set(KINDS):
        parser.error(f"--kinds is of {', '.join(KINDS)}")
    asked.modules = list(modules(asked.modules or [f"livery/{name}" for name in EVERYTHING]))
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
    if asked.equivalents:
        for (module, name), reason in equivalents().items():
            print(f"{module} {name}: {reason}")
        return 0
    if asked.standing:
        for line in standing(asked.modules, tried.read()):
            print(line)
        return 0
    to_try = {module: found for module in asked.modules if (found := _to_try(module, asked))}
    if asked.count:
        for module, found in to_try.items():
            print(f"{module}: {len(found)} changes")
        print(f"{sum(map(len, to_try.values()))} changes")
        return 0
    return _try_all(to_try, asked)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("modules", nargs="*", help="modules or folders of livery/")
    parser.add_argument("--kinds", default=",".join(KINDS), help=f"of {', '.join(KINDS)}")
    parser.add_argument("--name", default="", help="only what stands under this name")
    parser.add_argument("--left", action="store_true", help="only what went unnoticed before")
    parser.add_argument("--also", nargs="*", default=[], help="more tests that cover them")
    parser.add_argument("--tests", nargs="*", help="these tests and no others")
    parser.add_argument("--sample", type=int, help="try so many of each module, and no more")
    parser.add_argument("--seed", type=int, default=0, help="which of them are tried")
    parser.add_argument("--seconds", type=float, default=3.0, help="of tests for each change")
    parser.add_argument(
        "--longer",
        type=float,
        default=30.0,
        help="of tests, in a new session, where none notices it; 0 for no new session",
    )
    parser.add_argument("--keep", type=Path, help="a folder to keep what tests reach")
    parser.add_argument("--again", action="store_true", help="also what stands in the record")
    parser.add_argument("--standing", action="store_true", help="list what the record says of them")
    parser.add_argument("--equivalents", action="store_true", help="list them, and do nothing else")
    parser.add_argument("--excused", action="store_true", help="only what has an excuse")
    parser.add_argument("--count", action="store_true", help="count the changes, and try none")
    return parser


def standing(asked: list[str], record: tried.Record) -> list[str]:
    """Return what the record says of modules as they are now."""
    lines, total = [], {"tried": 0, "changed since": 0, "never tried": 0}
    for module in asked:
        source = (TREE / module).read_bytes()
        for kind in KINDS:
            changes, excused = parted(module, mutations(source, frozenset({kind})), source)
            if not changes:
                continue
            own = record.get((module, kind))
            if own is None:
                state = "never tried"
            elif own.text != tried.digest(source) or own.excused > len(excused):
                state = "changed since"
            else:
                state = "tried"
                labels = {m.label for m in changes}
                left = [label for label in own.unnoticed if label in labels]
                lines += [f"{module}: unnoticed: {label}" for label in left]
            total[state] += len(changes)
            if state != "tried":
                lines.append(f"{module}: {kind}: {len(changes)} {state}")
    return [*lines, ", ".join(f"{count} {state}" for state, count in total.items())]


def _to_try(module: str, asked: argparse.Namespace) -> list[Mutation]:
    """Return the changes of a module that are asked for and do not stand in the record."""
    source = (TREE / module).read_bytes()
    record = tried.read()
    found = []
    for kind in asked.kinds:
        own = record.get((module, kind))
        changes, excused = parted(module, mutations(source, frozenset({kind})), source)
        stands = own and own.text == tried.digest(source) and own.excused <= len(excused)
        if asked.excused:
            found += excused
        elif asked.left:
            found += [m for m in changes if own and m.label in own.unnoticed]
        elif not stands or asked.again:
            found += [m for m in changes if asked.name in m.name]
    if asked.sample is not None and asked.sample < len(found):
        chosen = random.Random(f"{asked.seed} {module}").sample(range(len(found)), asked.sample)
        found = [found[i] for i in sorted(chosen)]
    return sorted(found, key=lambda m: (m.start, m.after))


def _try_all(to_try: dict[str, list[Mutation]], asked: argparse.Namespace) -> int:
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    count = unnoticed = 0
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = copied(Path(folder))
        groups: dict[tuple[str, ...], list[str]] = {}
        for module in to_try:
            tests = asked.tests or [*covering(module), *asked.also]
            groups.setdefault(tuple(tests), []).append(module)
        for covered, own in groups.items():
            kept = asked.keep or Path(folder) / "reached"
            trials = Trials(copy, list(covered), kept, asked.seconds, asked.longer)
            try:
                for module in own:
                    left = []
                    for m in trials.unnoticed(module, to_try[module]):
                        left.append(m)
                        print(f"{module}:{m.line}: {m.label}", flush=True)
                    print(
                        f"{module}: {len(to_try[module])} changes, {len(left)} unnoticed",
                        flush=True,
                    )
                    count, unnoticed = count + len(to_try[module]), unnoticed + len(left)
                    _note(copy, module, to_try[module], left, asked)
            finally:
                trials.end()
    minutes = (time.monotonic() - began) / 60.0
    print(f"{count} changes, {unnoticed} unnoticed, {count / minutes:.0f} a minute")
    return 1 if unnoticed else 0


def _note(
    copy: Path, module: str, found: list[Mutation], left: list[Mutation], asked: argparse.Namespace
) -> None:
    """Write to the record what was tried of a module, if it was tried whole."""
    if asked.name or asked.sample is not None or asked.excused:
        return
    record = tried.read()
    source = (copy / module).read_bytes()
    for kind in asked.kinds:
        changes, excused = parted(module, mutations(source, frozenset({kind})), source)
        before = record.get((module, kind))
        if any(m in found for m in changes):
            unnoticed = tuple(m.label for m in left if m in changes)
            text = before.text if before and asked.left else tried.digest(source)
            record[module, kind] = tried.Tried(text, len(changes), len(excused), unnoticed)
    tried.write(record)


if __name__ == "__main__":
    sys.exit(main())
