"""The plan of the works as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from livery.works.coat_times import pull_times
from livery.works.mixing import SessionMix
from livery.works.works_plan import ReadyTimes, Works, WorksSession


def works_text(works: Works, title: str, cautions: Sequence[str]) -> str:
    """Return the plan day by day."""
    lines = [f"{title}: the works", ""]
    day = ""
    for one in works.sessions:
        if f"{one.start:%a %Y-%m-%d}" != day:
            day = f"{one.start:%a %Y-%m-%d}"
            lines += [*([""] if len(lines) > 2 else []), day, "-" * len(day)]
        lines.append(f"{one.number:>3}. {one.start:%H:%M}-{one.end:%H:%M}  {one.words}")
        lines += [f"       {words}" for words in session_lines(one)]
    lines += ["", "Ready", "-----", *(ready_words(one) for one in works.ready)]
    lines += ["", f"All is cured on {works.finish:%a %Y-%m-%d at %H:%M}."]
    lines += [f"Changes of colour in the gun: {works.changes}.", ""]
    lines += works.notes
    return "\n".join([*lines, *(f"Caution: {c}" for c in cautions)]) + "\n"


def ready_words(one: ReadyTimes) -> str:
    """Return when panels can be handled, and when they are cured."""
    return (
        f"{', '.join(one.on)}: handle from {one.handled:%a %Y-%m-%d %H:%M}, "
        f"cured {one.cured:%a %Y-%m-%d %H:%M}"
    )


def session_lines(one: WorksSession) -> Iterator[str]:
    """Yield what is to be known of a session."""
    yield f"held by: {one.session.held_by}"
    for step in one.session.steps if not one.session.paint else ():
        if step.with_ and not one.session.keys:
            yield f"{'cover' if step.do == 'mask' else 'with'}: {', '.join(step.with_)}"
    yield from (f"then: {words}" for words in after_lines(one))
    if one.coat_by is not None:
        yield f"bare metal: first coat begun by {one.coat_by:%a %Y-%m-%d %H:%M}"
    yield from one.masks
    if one.mix is not None:
        yield from mix_lines(one.mix)


def after_lines(one: WorksSession) -> Iterator[str]:
    """Yield what is done after the last coat of a session, with its time on each panel."""
    if not one.session.paint:
        return
    steps = {s.name: s for s in one.session.steps}
    found: dict[str, list[str]] = {}
    for time in pull_times(one.session.steps):
        at = one.start + timedelta(minutes=time.start)
        found.setdefault(", ".join(steps[time.step].with_), []).append(f"{time.panel} {at:%H:%M}")
    yield from (f"{words}: {', '.join(times)}" for words, times in found.items())


def mix_lines(mix: SessionMix) -> Iterator[str]:
    """Yield what is mixed, what is to be known of it, and what is done with it before use."""
    yield mix_words(mix)
    yield from mix_notes(mix)
    yield from mix_standing(mix)


def mix_words(mix: SessionMix) -> str:
    """Return what is mixed, in millilitres and grams."""
    parts = ", ".join(
        f"{p.ml:.1f} ml {p.what}" + ("" if p.grams is None else f" ({p.grams:.1f} g)")
        for p in mix.parts
    )
    return f"mix {mix.ml:.1f} ml for {mix.area_m2 * 1e4:.0f} cm² of surface: {parts}"


def mix_notes(mix: SessionMix) -> Iterator[str]:
    """Yield what is to be known of a mix."""
    if mix.left_ml:
        yield f"of it {mix.left_ml:g} ml stays in gun and cup"
    if mix.raised_for:
        yield mix.raised_for
    if mix.pots > 1:
        yield f"in {mix.pots} pots of {mix.ml / mix.pots:.1f} ml"
    if mix.warning:
        yield mix.warning
    if mix.product.is_assumed:
        yield "its solids or dry film are assumed: follow the data sheet"


def mix_standing(mix: SessionMix) -> Iterator[str]:
    """Yield how long a mix stands before it is used, if it does."""
    if mix.product.induction_h:
        yield f"let the mix stand {mix.product.induction_h * 60:.0f} min before spraying"
