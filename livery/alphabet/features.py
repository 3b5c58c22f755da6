"""The OpenType features of an alphabet, in the feature file language.

``kern`` kerns; ``tnum`` gives figures one width; ``frac`` sets fractions; ``salt``
offers the other form of a letter that has one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from livery.alphabet.glyphs import FIGURES, glyph_name

_PARTS = (".tnum", ".numr", ".dnom")


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
