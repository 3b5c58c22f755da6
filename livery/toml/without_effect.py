"""Keys that have an effect only beside others: alone, they are refused and not ignored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from livery.toml.entry import Entry, wrong


def is_given(entry: Entry, key: str) -> bool:
    """Return whether a key is written with another value than its default."""
    if key not in entry.model_fields_set:
        return False
    default = type(entry).model_fields[key].get_default(call_default_factory=True)
    return bool(getattr(entry, key) != default)


def refuse_without_effect(entry: Entry, beside: Mapping[str, Sequence[str]]) -> None:
    """Raise for each key that is given without any of the keys that it needs beside it.

    ``beside`` gives for a key those others.  A key at its default is as good as left out.
    """
    loose = [
        key for key, others in beside.items() if is_given(entry, key) and not _any(entry, others)
    ]
    if loose:
        others = beside[loose[0]]
        needed = others[0] if len(others) == 1 else f"{', '.join(others[:-1])} or {others[-1]}"
        keys = " and ".join(key for key in loose if beside[key] == others)
        has = "has" if keys == loose[0] else "have"
        raise wrong(
            "without-effect",
            f"{keys} {has} no effect without {needed}",
            f"Delete {keys}, or add {needed}.",
        )


def refuse_beside(entry: Entry, pairs: Sequence[tuple[str, str]], what: str) -> None:
    """Raise for the first pair of keys that ``what``, such as "lettering", cannot have both."""
    for one, other in pairs:
        if is_given(entry, one) and is_given(entry, other):
            raise wrong(
                what.split()[-1],
                f"{what} cannot have {one} and {other} both",
                f"Keep {one} or {other}.",
            )


def _any(entry: Entry, keys: Sequence[str]) -> bool:
    return any(is_given(entry, key) for key in keys)
