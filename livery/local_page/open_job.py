"""An open job: the engine's last answer, its answer with tried values, and what is kept.

One thread at a time works with the engine.  What is tried is read instead of the files and
written nowhere; what is kept goes into them, at the place of each value and nowhere else.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic_core import PydanticCustomError

from livery.describe.changed_size import StepSize, shifted, stepped
from livery.describe.named_files import file_states
from livery.describe.values import to_position
from livery.examined import Examined
from livery.findings import Finding, LiveryError, Severity, fault
from livery.input_limits import MOST_TOML_BYTES
from livery.layout.plan import PanelPlan
from livery.local_page.answer import JobAnswer, answer_data, answer_of, shown_paints
from livery.local_page.figures import film_parts
from livery.local_page.settings import ChangeableValue, SettingKind, setting_at, settings_of
from livery.local_page.solids import solid_data
from livery.local_page.steps import panel_steps
from livery.pipeline import examined_or_faults
from livery.toml.added_values import AbsentValue, with_changes
from livery.toml.parse import parse_toml
from livery.toml.read import reading
from livery.toml.written_values import PlainValue, WrittenValue
from livery.units import UnitError
from livery.vehicles.as_drawn import vehicles_as_drawn
from livery.vehicles.placed import PlacedVehicle
from livery.write.file import update_files

MOST_DRAWN = 600
"""Figures kept at hand, the ones asked for last (chosen: a train has about 70). More take memory;
fewer, and going back draws again."""

MOST_VERSIONS = 20
"""Versions of which it is known what figures they had (chosen: a page is a few behind at most).
Fewer, and a slow page gets whole figures."""

LARGEST_NUMBER = 1e9
"""The most that a tried number may be (chosen: no number of a description comes near it). Larger,
and a slip is laid out."""

CHANGED = "file-changed"
"""The code of a refusal because a file is no longer what the page has seen."""


@dataclass(frozen=True)
class Change:
    """A value to try, at its dotted key: a value ``to`` be, or the present one moved.

    None leaves a value absent that is not written yet.  The present one is moved by ``steps`` of a size, or by ``model_mm`` on the model.
    """

    key: str
    to: PlainValue | None
    steps: int = 0
    step: StepSize = StepSize.PLAIN
    model_mm: float = 0.0


class OpenJob:
    """A job's file and everything known of it; every method may be called from any thread."""

    def __init__(self, file: Path, folder: Path | None = None) -> None:
        """Open a job; nothing outside ``folder``, by default the file's own, is ever written."""
        self.file = file
        self.folder = (file.parent if folder is None else folder).resolve()
        self._lock = threading.Lock()
        self._drawn: OrderedDict[str, bytes] = OrderedDict()
        self._data: dict[str, Any] = {}
        self._states: tuple[tuple[Path, int, int], ...] = ()
        self._sheets: tuple[JobAnswer, dict[tuple[str, str], list[str]]] | None = None
        self._drawn_vehicles: tuple[JobAnswer, tuple[PlacedVehicle, ...]] | None = None
        self._known: OrderedDict[int, frozenset[str]] = OrderedDict()
        self.version = 0
        self._answer = self._refreshed()

    # -- what there is to see

    def data(self, since: int = -1, group: str = "") -> dict[str, Any]:
        """Return the data of the job for the page, from the saved files.

        With a version that is at hand come the figures that differ from it: those of the panels
        and of the ``group`` that is looked at.
        """
        with self._lock:
            known = self._known.get(since)
            drawn = {} if known is None else _contents(self._answer, known, group)
            return {**self._data, "version": self.version, "drawn": drawn}

    def figure(self, digest: str) -> bytes | None:
        """Return a figure as JSON by its digest; None for one that is not at hand."""
        with self._lock:
            return self._drawn.get(digest)

    def findings(self) -> tuple[Finding, ...]:
        """Return all findings of the job, from the saved files."""
        return self._answer.examined.findings

    @property
    def survey_name(self) -> str:
        """The survey that the job names; empty if it names none or cannot be read."""
        job = self._answer.examined.description.data.get("job")
        named = job.get("survey") if isinstance(job, dict) else None
        return named if isinstance(named, str) else ""

    @property
    def examined(self) -> Examined:
        """The job from its saved files."""
        return self._answer.examined

    def vehicle(self, name: str, *, as_drawn: bool = False) -> PlacedVehicle | None:
        """Return a vehicle as its files are, or as if it had been built to scale; None for another."""
        with self._lock:
            placed = self._answer.examined.vehicles.placed
            if as_drawn:
                if self._drawn_vehicles is None or self._drawn_vehicles[0] is not self._answer:
                    found = vehicles_as_drawn(self._answer.examined.description)
                    self._drawn_vehicles = (self._answer, found)
                placed = self._drawn_vehicles[1]
            return next((vehicle for vehicle in placed if vehicle.name == name), None)

    def panel(self, name: str) -> PanelPlan | None:
        """Return a panel as its files are; None for one that is not there."""
        panels = self._answer.examined.plan.panels
        return next((plan for plan in panels if plan.name == name), None)

    def states(self) -> tuple[tuple[Path, int, int], ...]:
        """Return when each file of the job was last written."""
        return file_states(self._answer.examined.description)

    def is_out_of_date(self) -> bool:
        """Return whether a file of the job was written since it was read."""
        return self.states() != self._states

    def refresh(self) -> bool:
        """Read the job again if one of its files changed; return whether it did."""
        with self._lock:
            if not self.is_out_of_date():
                return False
            before = self.version
            self._answer = self._refreshed()
            return self.version != before

    def settings(self, key: str) -> list[dict[str, Any]]:
        """Return the values of an entry that can be changed, by its dotted key."""
        with self._lock:
            answer = self._answer
            if answer.examined.description.model is None:
                return []
            found = settings_of(key, answer.examined.description, answer.texts)
            return [s.as_data(can_be_kept=self._is_ours(s.file)) for s in found]

    def steps(self, panel: str) -> list[dict[str, Any]]:
        """Return how a panel looks step by step; raises LiveryError where that has no order."""
        with self._lock:
            examined = self._answer.examined
            model = examined.description.model
            plan = self.panel(panel)
            return [] if model is None or plan is None else panel_steps(plan, model)

    def solid(self, vehicle: str) -> dict[str, Any]:
        """Return the solid of a vehicle as its files are; nothing for one that is not there."""
        with self._lock:
            examined = self._answer.examined
            found = next((v for v in examined.vehicles.placed if v.name == vehicle), None)
            return {} if found is None else solid_data(found, shown_paints(examined))

    def joins(self) -> dict[str, list[dict[str, Any]]]:
        """Return the parts of film by the panel they are laid on; none while there are faults."""
        from livery.make.film.cut_parts import cut_parts

        with self._lock:
            examined = self._answer.examined
            model = examined.description.model
            if model is None or examined.exit_status:
                return {}
            parts = cut_parts(examined.plan, model)
            return {plan.name: film_parts(plan, parts) for plan in examined.plan.panels}

    def cut_from(self, key: str, paint: str) -> list[str]:
        """Return which sheets an entry's pieces of a paint are cut from, with their numbers there."""
        with self._lock:
            if self._sheets is None or self._sheets[0] is not self._answer:
                self._sheets = (self._answer, self._sheet_words())
            return self._sheets[1].get((key, paint), [])

    def _sheet_words(self) -> dict[tuple[str, str], list[str]]:
        from livery.make.film.cut_parts import cut_parts
        from livery.make.film.film_sheets import film_sheets
        from livery.make.film.nesting import nests_beside, remembering

        examined = self._answer.examined
        model = examined.description.model
        if model is None or examined.exit_status:
            return {}
        nester = remembering(nests_beside(examined.description.file))
        words: dict[tuple[str, str], dict[str, list[int]]] = {}
        for sheet in film_sheets(cut_parts(examined.plan, model), nester):
            for laid in sheet.parts:
                if not laid.is_spare:
                    piece = laid.part.piece
                    numbers = words.setdefault((piece.key, piece.paint), {})
                    numbers.setdefault(sheet.name, []).append(laid.part.number)
        return {
            key: [f"{name}: {_numbers(numbers)}" for name, numbers in sheets.items()]
            for key, sheets in words.items()
        }

    def descriptions(self) -> list[str]:
        """Return the other descriptions in the job's own folder, by name."""
        own = self.file.resolve()
        found = (f for f in sorted(self.file.parent.glob("*.toml")) if f.resolve() != own)
        return [file.name for file in found if _is_description(file)]

    def beside(self, name: str) -> dict[str, Any]:
        """Return another description of the folder, to be shown beside this one.

        Raises LiveryError for one that is not there or has nothing to show.
        """
        if name not in self.descriptions():
            raise fault(
                "no-description",
                f'"{name[:80]}" is not a description in this folder',
                "Choose another.",
            )
        with self._lock:
            examined = examined_or_faults(self.file.parent / name)
            if examined.description.model is None:
                raise LiveryError(examined.findings)
            return self._page_data(answer_of(examined, {}, None))

    # -- what is tried and kept

    def tried(self, changes: Sequence[Change], group: str = "") -> dict[str, Any]:
        """Return the data for the page with some values changed, and those values.

        With it come the figures that differ from those of the files: of the panels and the
        ``group``. Raises LiveryError, its findings at the keys, for a value that cannot stand
        there.
        """
        with self._lock:
            resolved = self._resolved(changes)
            answer = self._with(resolved)
            data = self._page_data(answer)
            values = [
                {"key": setting.key, "value": value, "written": setting.value}
                for setting, value in resolved
            ]
            files = _digests(self._answer)
            drawn = _contents(answer, self._known[self.version], group)
            own = {"files": files, "version": self.version, "drawn": drawn, "tried": values}
            return {**data, **own}

    def keep(self, changes: Sequence[Change], seen: Mapping[str, str]) -> dict[str, Any]:
        """Write values into the files they stand in, if these are still as the page has ``seen`` them.

        ``seen`` gives the digest of each file by its path.  Raises LiveryError where a file
        changed meanwhile, lies outside the job's folder or cannot be written, and where the
        values bring a new fault; nothing is written then.
        """
        with self._lock:
            if self.is_out_of_date():
                self._answer = self._refreshed()
            resolved = self._resolved(changes)
            for setting, _ in resolved:
                self.require_ours(setting.file)
                if seen.get(str(setting.file)) != _digest(self._answer.texts[setting.file]):
                    raise _changed(setting.file)
            self._require_sound(self._with(resolved))
            exchanges = {}
            for file, values in _by_file(resolved).items():
                before = self._answer.texts[file]
                exchanges[file] = _Exchange(file, before, with_changes(before, values))
            update_files(exchanges)
            self._answer = self._refreshed()
            return {**self._data, "version": self.version}

    def _resolved(
        self, changes: Sequence[Change]
    ) -> list[tuple[ChangeableValue, PlainValue | None]]:
        """Return each setting with the value it is to have."""
        found: dict[str, tuple[ChangeableValue, PlainValue | None]] = {}
        faults: list[Finding] = []
        for change in changes:
            setting = self._setting(change.key)
            try:
                found[setting.key] = (setting, self._value(setting, change))
            except (ValueError, UnitError) as error:
                remedy = getattr(error, "remedy", "")
                faults.append(Finding("value", str(error), remedy, key=change.key))
        if faults:
            raise LiveryError(faults)
        return list(found.values())

    def _setting(self, key: str) -> ChangeableValue:
        answer = self._answer
        description = answer.examined.description
        setting = None
        if description.model is not None:
            setting = setting_at(key, description, answer.texts)
        if setting is None:
            finding = Finding(
                CHANGED,
                f"there is no longer a value at {key}",
                "The file was changed by another program: drop this change.",
                key=key,
            )
            raise LiveryError([finding])
        return setting

    def _value(self, setting: ChangeableValue, change: Change) -> PlainValue | None:
        """Return the value a change asks for; raises ValueError for one of another kind."""
        to = change.to
        if to is None:
            if setting.is_absent:
                return None
            raise ValueError("a value that is in the file cannot be removed on this page")
        if setting.kind is SettingKind.SIZE:
            text = str(to)
            if change.steps:
                text = stepped(text, change.steps, change.step)
            if change.model_mm:
                scale = self._answer.examined.plan.panels[0].frame.scale
                text = shifted(text, change.model_mm, scale)
            _require_size(text)
            return text
        if setting.kind is SettingKind.NUMBER:
            return _number(to, change, setting.value)
        if setting.kind is SettingKind.SWITCH:
            if not isinstance(to, bool):
                raise ValueError("this must be true or false")
            return to
        if not isinstance(to, str):
            raise ValueError("this must be a text")
        return to

    def _with(self, resolved: Iterable[tuple[ChangeableValue, PlainValue | None]]) -> JobAnswer:
        """Return the answer to the job with values in the places of some."""
        files = _by_file(resolved)
        instead = {f: with_changes(self._answer.texts[f], v) for f, v in files.items()}
        return self._answered(instead)

    def require_ours(self, file: Path) -> None:
        """Raise LiveryError for a file outside the folder that may be written."""
        if not self._is_ours(file.resolve()):
            raise fault(
                "outside-folder",
                f"{file.name} is outside the folder that this page may write to",
                "Change it in that file itself, or open the job with --folder.",
                exit_status=1,
            )

    def _is_ours(self, file: Path) -> bool:
        return file.is_relative_to(self.folder)

    def _require_sound(self, tried: JobAnswer) -> None:
        """Raise LiveryError with every fault that is not there without what is tried."""
        known = {(f.code, f.key) for f in _faults(self._answer)}
        new = [f for f in _faults(tried) if (f.code, f.key) not in known]
        if new:
            raise LiveryError(new)

    # -- the engine

    def _refreshed(self) -> JobAnswer:
        """Examine the job as its files are; count it as new if it differs from before."""
        answer = self._answered({})
        self._states = file_states(answer.examined.description)
        data = self._page_data(answer)
        if answer.examined.description.model is None and self._data:
            # A fault leaves nothing to show: the figures stay as they were.
            kept = ("findings", "faulty", "files")
            data = {**self._data, **{key: data[key] for key in kept}, "stale": True}
        if data != self._data:
            self._data = data
            self.version += 1
            self._known[self.version] = frozenset(head["digest"] for head in data["figures"])
            while len(self._known) > MOST_VERSIONS:
                self._known.popitem(last=False)
        return answer

    def _answered(self, instead: Mapping[Path, bytes]) -> JobAnswer:
        with reading(instead) as texts:
            examined = examined_or_faults(self.file)
        earlier = getattr(self, "_answer", None)
        return answer_of(examined, dict(texts.read), earlier)

    def _page_data(self, answer: JobAnswer) -> dict[str, Any]:
        """Return an answer as data; its figures are then at hand."""
        for figure in answer.figures:
            self._drawn.setdefault(figure.digest, b"")
            self._drawn.move_to_end(figure.digest)
            if not self._drawn[figure.digest]:
                content = json.dumps(figure.content, ensure_ascii=False, separators=(",", ":"))
                self._drawn[figure.digest] = content.encode()
        while len(self._drawn) > max(MOST_DRAWN, 2 * len(answer.figures)):
            self._drawn.popitem(last=False)
        return {**answer_data(answer), "files": _digests(answer), "stale": False}


def _contents(answer: JobAnswer, known: frozenset[str], group: str) -> dict[str, Any]:
    """Return by digest the figures of an answer that are not known: of its panels and of a group."""
    shown = {f.digest for f in answer.figures if f.group == group or f.content["kind"] == "panel"}
    for digest in tuple(shown):
        shown |= {part["digest"] for part in answer.drawn[digest].content.get("parts", ())}
    return {f.digest: f.content for f in answer.figures if f.digest in shown - known}


def _is_description(file: Path) -> bool:
    """Return whether a TOML file has a job of its own; one that cannot be read has none."""
    try:
        if file.stat().st_size > MOST_TOML_BYTES:
            return False
        return isinstance(parse_toml(file.read_bytes()).get("job"), dict)
    except (OSError, ValueError):
        return False


def _require_size(text: str) -> None:
    try:
        to_position(text)
    except PydanticCustomError as error:
        context = error.context or {}
        raise UnitError(str(error), str(context.get("remedy", ""))) from None


def _number(to: PlainValue, change: Change, before: PlainValue | None) -> int | float:
    """Return a number moved by its steps, whole where the one before is whole."""
    try:
        value = float(str(to))
    except ValueError:
        raise ValueError("this is not a number") from None
    if not abs(value) < LARGEST_NUMBER:
        raise ValueError("this number is too large")
    size = {StepSize.FINE: 0.1, StepSize.PLAIN: 1.0, StepSize.COARSE: 5.0}[change.step]
    whole = isinstance(before, int) and value.is_integer() and change.step is not StepSize.FINE
    value = round(value + change.steps * size, 6)
    return int(value) if whole else value


def _by_file(
    resolved: Iterable[tuple[ChangeableValue, PlainValue | None]],
) -> dict[Path, dict[WrittenValue | AbsentValue, PlainValue]]:
    files: dict[Path, dict[WrittenValue | AbsentValue, PlainValue]] = {}
    for setting, value in resolved:
        if value is not None:
            files.setdefault(setting.file, {})[setting.written] = value
    return files


def _faults(answer: JobAnswer) -> list[Finding]:
    return [f for f in answer.examined.findings if f.severity is Severity.ERROR]


def _digests(answer: JobAnswer) -> dict[str, str]:
    """Return the digest of every file that an answer was read from, by its path."""
    return {str(file): _digest(text) for file, text in answer.texts.items()}


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


@dataclass(frozen=True)
class _Exchange:
    """What a file is to hold after another content, if it still holds that."""

    file: Path
    before: bytes
    after: bytes

    def __call__(self, now: bytes | None) -> bytes:
        if now != self.before:
            raise _changed(self.file)
        return self.after


def _changed(file: Path) -> LiveryError:
    return fault(
        CHANGED,
        f"{file.name} was meanwhile changed by another program",
        "The page now shows the new state: check it, then keep your change.",
        exit_status=1,
    )


def _numbers(numbers: Sequence[int]) -> str:
    """Return the numbers of parts in words, runs of them shortened."""
    runs: list[list[int]] = []
    for n in sorted(numbers):
        if runs and n == runs[-1][1] + 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    words = ", ".join(str(a) if a == b else f"{a} to {b}" for a, b in runs)
    return f"{'piece' if len(numbers) == 1 else 'pieces'} {words}"
