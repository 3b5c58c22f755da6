"""What a user reads is in plain, modern English: no old or clever word, and short sentences.

Read are the messages, headings and labels in the code, the help of commands and keys, the page,
the first description, the README and the contributor's guide.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from types import CodeType

import pytest

ROOT = Path(__file__).resolve().parents[1]
CODE = ROOT / "livery"

INSTEAD = {
    "afresh|anew": "again",
    "(?:is|are) to be found": "is",
    "amiss": "wrong",
    "besides": "also",
    "doubt": "uncertainty",
    "farther": "further",
    "grins?": "show through",
    "henceforth|hence|thus": "so",
    "heretofore|hitherto": "so far",
    "lest": "so that ... not",
    "in place of (?!NAME)": "instead of",
    "lives": "pot life, lifetime",
    "likewise": "in the same way",
    "less than nothing|minus nothing": "negative",
    "lessons?|taught": "updated from test cards, corrections",
    "mend(s|ed|ing)?": "fix",
    "mind it|minded|to mind": "note",
    "more than nothing": "greater than zero",
    "not a key I know": "unknown key",
    "noughts?": "zero",
    "of none": "without",
    "ought": "should",
    "reckon(s|ed|ing)?": "calculate",
    "seldom": "rarely",
    "shall": "will, must",
    "sought": "searched",
    "thereof|therein|wherein|whereof|whereupon": "of it, in it",
    "but for (?:a|the)|not but|save for": "except for",
    "tells?|telling|told": "report, give, show, distinguish",
    "tolls?": "rounding loss",
    "upon": "on",
    "takes? the place of": "replaces",
    "wants?": "needs",
    "whilst": "while",
}
"""Words that no text for a user has, and what to write instead of each."""

OLD = re.compile("|".join(rf"(?P<w{i}>\b(?:{w})\b)" for i, w in enumerate(INSTEAD)), re.IGNORECASE)


def old_words(text: str) -> Iterator[str]:
    """Yield each old word of a text with what to write instead."""
    advice = list(INSTEAD.values())
    for found in OLD.finditer(re.sub(r"`[^`]*`", "", text)):
        assert found.lastgroup is not None
        at = text[max(0, found.start() - 30) : found.end() + 30].replace("\n", " ")
        yield f"{found[0]!r}, write {advice[int(found.lastgroup[1:])]!r}: ... {at} ..."


def _is_sentence(text: str) -> bool:
    return " " in text.strip() and any(c.isalpha() for c in text)


def texts_of(file: Path) -> Iterator[str]:
    """Yield the sentences of a module that a user may read."""
    source = file.read_text(encoding="utf-8")
    if file.parent.name == "cli" or "entries" in file.parts:  # their notes are shown as help
        nodes = ast.walk(ast.parse(source))
        texts = [n.value for n in nodes if isinstance(n, ast.Constant)]
    else:
        texts = list(_constants(compile(source, str(file), "exec", optimize=2)))
    yield from (t for t in texts if isinstance(t, str) and _is_sentence(t))


def _constants(code: CodeType) -> Iterator[object]:
    """Yield the constants of code compiled without its notes."""
    for value in code.co_consts:
        yield from _constants(value) if isinstance(value, CodeType) else (value,)


@cache
def all_texts() -> tuple[tuple[str, str], ...]:
    """Return every text for users with the file it stands in."""
    found = [
        (str(file.relative_to(ROOT)), text)
        for file in sorted(CODE.rglob("*.py"))
        for text in texts_of(file)
    ]
    whole = ("README.md", "DEVELOPERS.md", "livery/describe/first_job.toml")
    found += [(name, (ROOT / name).read_text(encoding="utf-8")) for name in whole]
    for page in sorted(CODE.rglob("*.html")):
        tags = re.compile(r"<(script|style).*?</\1>|<[^>]*>|\{\{.*?\}\}", re.DOTALL)
        found.append((str(page.relative_to(ROOT)), tags.sub(" ", page.read_text("utf-8"))))
    return tuple(found)


def test_no_text_for_a_user_has_an_old_word() -> None:
    found = [f"{where}: {words}" for where, text in all_texts() for words in old_words(text)]
    assert not found, "\n" + "\n".join(found)


def test_no_comment_or_note_for_developers_has_an_old_word() -> None:
    found = [
        f"{file.relative_to(ROOT)}:{number}: {words}"
        for file in sorted(CODE.rglob("*.py"))
        for number, line in enumerate(file.read_text(encoding="utf-8").split("\n"), start=1)
        for words in old_words(line)
    ]
    assert not found, "\n" + "\n".join(found)


def glossary() -> list[str]:
    """Return the words of the trade that the README explains, in its order."""
    text = (ROOT / "README.md").read_text(encoding="utf-8").partition("## Words of the trade")[2]
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", text, flags=re.MULTILINE)
    assert all(meaning for _, meaning in rows)
    return [word for row, _ in rows[1:] for word in row.split(", ")]


def test_the_readme_explains_the_words_of_the_trade_and_no_others() -> None:
    words = glossary()
    assert {"lining", "waist", "cant rail", "drawdown", "weed", "size", "burnish"} <= set(words)
    assert {"odd-legs", "spectacle", "gores", "headstock", "datum", "pounce"} <= set(words)
    rows = [w for w in words if w not in ("strand", "beading", "trailing", "size", "shelf")]
    assert rows == sorted(rows)
    shown = " ".join(text for _, text in all_texts()).lower().replace("_", " ")
    not_yet = {"cant rail", "odd-legs", "spectacle"}  # usual in drawings, and not in this text
    used = {w for w in words if shown.count(w.lower()) > 1}
    assert used | not_yet == set(words)


@cache
def _syllables(word: str) -> int:
    import pyphen

    return len(pyphen.Pyphen(lang="en_GB").inserted(word, "-").split("-"))


def reading_ease(texts: list[str]) -> float:
    """Return the reading ease of texts (Flesch, 1948: 0 hard, 100 easy).

    Syllables are places to hyphenate, of which there are a few less: the figure is a little
    high, and serves to compare.
    """
    sentences, words, syllables = 0, 0, 0
    for text in texts:
        for sentence in re.split(r"[.:;?!](?:\s|$)|\n\s*\n", text):
            found = re.findall(r"[A-Za-z]+", sentence)
            if len(found) > 2:
                sentences += 1
                words += len(found)
                syllables += sum(_syllables(w) for w in found)
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def test_reading_ease_is_measured_as_published() -> None:
    # Two sentences of 4 words; 11 syllables: lin-ing, un-der and win-dow have two.
    text = "The lining is straight. Paint under a window."
    assert reading_ease([text]) == pytest.approx(206.835 - 1.015 * 4 - 84.6 * 11 / 8)
    hard = "Notwithstanding extraordinary administrative complications, consideration continues."
    assert reading_ease([hard]) < 0.0 < reading_ease([text])


@pytest.mark.parametrize(("part", "least"), [("code", 98.0), ("guides", 85.0)])
def test_text_for_users_reads_easily(part: str, least: float) -> None:
    texts = [t for where, t in all_texts() if where.endswith(".md") == (part != "code")]
    assert reading_ease(texts) >= least


CODE_OF_FINDING = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
AS_WRITTEN = re.compile(r"(Livery|Munsell|[B-Z]|\d\S*)\b(?!\w)")
"""Beginnings of a message that keep their capital: names, and symbols such as R or L*."""


def _words_with_holes(node: ast.expr) -> str | None:
    """Return the text of a message, each value in it as ``{}``; None for what is not text."""
    if isinstance(node, ast.JoinedStr):
        return "".join(v.value if isinstance(v, ast.Constant) else "{}" for v in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def messages_of(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield line and text of the message of each finding that a module makes.

    It is what follows the finding's code, or the key that its own function takes.
    """
    for call in ast.walk(tree):
        if not isinstance(call, ast.Call) or ast.unparse(call.func) in ("say", "Drawing"):
            continue
        texts = [_words_with_holes(a) for a in call.args[:3]]
        codes = [i for i, t in enumerate(texts[:2]) if t and CODE_OF_FINDING.fullmatch(t)]
        if ast.unparse(call.func) in ("Finding", "fault", "wrong"):
            codes = [0]  # whether or not it is written out
        for argument in call.args[codes[0] + 1 :][:2] if codes else ():
            if isinstance(argument, ast.Tuple) or ast.unparse(argument) == "key":
                continue
            choices = (
                [argument.body, argument.orelse] if isinstance(argument, ast.IfExp) else [argument]
            )
            said = [t for c in choices if (t := _words_with_holes(c))]
            yield from ((call.lineno, t) for t in said if re.search("[a-z]{2,} ", t))
            break
        named = [k.value for k in call.keywords if k.arg == "message"]
        if ast.unparse(call.func) == "Finding" and not codes:  # its code is a name
            named += call.args[1:2]
        yield from ((call.lineno, t) for v in named if (t := _words_with_holes(v)))
    for row in (
        n for n in ast.walk(tree) if isinstance(n, ast.Tuple)
    ):  # rows of a table of findings
        texts = [_words_with_holes(a) for a in row.elts]
        for code, text in pairwise(texts):
            if code and "-" in code and CODE_OF_FINDING.fullmatch(code) and text and " " in text:
                yield row.lineno, text


def named_messages_of(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield line and text of each message that a finding is given by the name it has in its function."""
    for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
        said: dict[str, list[tuple[int, str]]] = {}
        for given in (n for n in ast.walk(function) if isinstance(n, ast.Assign)):
            targets, value = given.targets[0], given.value
            pairs = [(targets, value)]
            if isinstance(targets, ast.Tuple) and isinstance(value, ast.Tuple):
                pairs = list(zip(targets.elts, value.elts, strict=False))
            for target, one in pairs:
                choices = [one.body, one.orelse] if isinstance(one, ast.IfExp) else [one]
                texts = [(given.lineno, t) for c in choices if (t := _words_with_holes(c))]
                if isinstance(target, ast.Name):
                    said.setdefault(target.id, []).extend(texts)
        for call in (n for n in ast.walk(function) if isinstance(n, ast.Call)):
            if ast.unparse(call.func) in ("Finding", "fault", "wrong"):
                named = [*call.args[1:2], *(k.value for k in call.keywords if k.arg == "message")]
                for name in named:
                    yield from said.get(name.id, ()) if isinstance(name, ast.Name) else ()


def test_every_message_is_in_one_form() -> None:
    """Small at its beginning, without a full stop, and the user's words in double quotes."""
    faults, count = [], 0
    for file in sorted(CODE.rglob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        where = file.relative_to(ROOT)
        for line, message in (*messages_of(tree), *named_messages_of(tree)):
            count += 1
            if message[:1].isupper() and not AS_WRITTEN.match(message):
                faults.append(f"{where}:{line}: begins with a capital: {message}")
            if message.endswith("."):
                faults.append(f"{where}:{line}: ends with a full stop: {message}")
            if re.search(r"(?<!\w)'[^' ][^']*'(?!\w)", message):
                faults.append(f"{where}:{line}: has single quotes: {message}")
        faults += [
            f"{where}:{value.lineno}: quotes with !r: {ast.unparse(value.value)}"
            for value in ast.walk(tree)
            if isinstance(value, ast.FormattedValue) and value.conversion == ord("r")
        ]
    assert count > 600
    assert not faults, "\n" + "\n".join(faults)
