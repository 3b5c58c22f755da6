"""The OpenType features of an alphabet, in the feature file language.

``kern`` kerns; ``tnum`` gives figures one width; ``frac`` sets fractions; ``sups`` raises
letters and figures; ``c2sc`` and ``smcp`` make small capitals of capitals and of small
letters; ``salt`` offers the other form of a letter that has one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from fontTools.agl import AGL2UV

from livery.alphabet.glyphs import FIGURES, glyph_name
from livery.alphabet.small import RAISED, SMALL_CAPITAL

_PARTS = (".tnum", ".numr", ".dnom", RAISED, SMALL_CAPITAL)


def features(
    names: Sequence[str], like: Mapping[str, str], kerns: Mapping[tuple[str, str], int]
) -> str:
    """Return the feature file for the glyphs ``names``.

    ``like`` gives, for a glyph that kerns as another does, the name of that other.
    """
    text = ["languagesystem DFLT dflt;", "languagesystem latn dflt;"]
    figures = [glyph_name(f) for f in FIGURES]
    text.append(_block("tnum", [f"sub {f} by {f}.tnum;" for f in figures]))
    if "fraction" in names:
        text.append(_fractions(figures))
    text += _small(names, figures)
    text.append(_other_forms(names))
    text.append(_kerning(like, kerns))
    return "\n".join(t for t in text if t) + "\n"


def _block(tag: str, lines: Sequence[str]) -> str:
    if not lines:
        return ""
    return "\n".join([f"feature {tag} {{", *(f"  {line}" for line in lines), f"}} {tag};"])


def _fractions(figures: Sequence[str]) -> str:
    over, under = ([f"{f}.{part}" for f in figures] for part in ("numr", "dnom"))
    return "\n".join(
        [
            f"@figures = [{' '.join(figures)}];",
            f"@over = [{' '.join(over)}];",
            f"@under = [{' '.join(under)}];",
            _block(
                "frac",
                [
                    "lookup parts { sub @figures by @over; sub slash by fraction; } parts;",
                    "lookup below {",
                    "  sub [fraction @under] @over' by @under;",
                    "} below;",
                ],
            ),
        ]
    )


def _small(names: Sequence[str], figures: Sequence[str]) -> list[str]:
    """Return the features that raise letters and make small capitals of them."""
    raised = [n.removesuffix(RAISED) for n in names if n.endswith(RAISED)]
    capitals = [n.removesuffix(SMALL_CAPITAL) for n in names if n.endswith(SMALL_CAPITAL)]
    lower = {n: _capital_of(n) for n in names if n in AGL2UV and _capital_of(n) in capitals}
    numerals = [f"sub {f} by {f}.numr;" for f in figures if f"{f}.numr" in names]
    return [
        _block("sups", [f"sub {n} by {n}{RAISED};" for n in raised] + numerals),
        _block("c2sc", [f"sub {n} by {n}{SMALL_CAPITAL};" for n in capitals]),
        _block("smcp", [f"sub {n} by {c}{SMALL_CAPITAL};" for n, c in lower.items()]),
    ]


def _capital_of(name: str) -> str:
    """Return the glyph name of a small letter's capital; nothing for any other glyph."""
    character = chr(AGL2UV[name])
    capital = character.upper()
    return glyph_name(capital) if character.islower() and len(capital) == 1 else ""


def _other_forms(names: Sequence[str]) -> str:
    dotted = [n for n in names if "." in n.strip(".") and not n.endswith(_PARTS)]
    lines = [
        f"sub {base} from [{' '.join(forms)}];"
        for base, forms in groupby(dotted, key=lambda n: n.split(".")[0])
    ]
    return _block("salt", lines)


def _kerning(like: Mapping[str, str], kerns: Mapping[tuple[str, str], int]) -> str:
    classes: dict[str, list[str]] = {n: [n] for pair in sorted(kerns) for n in pair}
    for name, base in like.items():
        if base in classes:
            classes[base].append(name)
    text = [f"@kern.{n} = [{' '.join(members)}];" for n, members in sorted(classes.items())]
    lines = [f"pos @kern.{a} @kern.{b} {k};" for (a, b), k in sorted(kerns.items())]
    return "\n".join([*text, _block("kern", lines)])
