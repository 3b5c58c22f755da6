"""Paints, bands and alphabets of a description's own file that nothing names.

One that is spelt almost like another is often meant to change that one, which stands in an
included file or in those of a train's vehicles; as it is, it would change nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.describe.load import Description
from livery.describe.named_files import texts_in
from livery.findings import Finding, Severity

KINDS = ("paint", "band", "alphabet")
"""Tables whose entries do something only where another entry names them."""


def unused_names(description: Description) -> Iterator[Finding]:
    """Yield a warning for each unused entry of the own file that is spelt almost like another's.

    A train's own file has no panels: there any unused entry is in vain.
    """
    model = description.model
    if model is None:
        return
    tables = {kind: getattr(model, kind) for kind in KINDS}
    named = frozenset(texts_in(description.data))
    for kind, table in tables.items():
        own = {n for n in table if description.is_own(f"{kind}.{n}")}
        for name in sorted(own - named):
            if kind == "paint" and name in model.clear_paints:
                continue  # it goes over all others by itself
            close = _closest(name, [other for other in table if other not in own])
            if close or "train" in description.data:
                yield _unused(kind, name, close, is_train="train" in description.data)


def _closest(name: str, others: Sequence[str]) -> str:
    import difflib

    return (difflib.get_close_matches(name, others, n=1, cutoff=0.8) or [""])[0]


def _unused(kind: str, name: str, close: str, *, is_train: bool) -> Finding:
    whose = "no vehicle names" if is_train else "nothing names"
    remedy = f'Did you mean "{close}"? ' if close else ""
    remedy += f"Name the {kind} where it is to be seen, or delete it."
    return Finding(
        "without-effect",
        f'{whose} the {kind} "{name}": it changes nothing',
        remedy,
        Severity.WARNING,
        f"{kind}.{name}",
    )
