from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from livery.colour.mixing.drawdowns import parse_mixture, read_drawdowns
from livery.colour.mixing.kubelka_munk import film_reflectance, reflectance_from_ks
from livery.colour.mixing.saunderson import GLOSS, measured_from_internal
from livery.findings import LiveryError

HEAD = "card,mixture,ground,film_um,400,410,420\n"


def table(folder: Path, text: str) -> Path:
    path = folder / "drawdowns.csv"
    path.write_text(text)
    return path


def test_a_table(tmp_path: Path) -> None:
    found = read_drawdowns(
        table(tmp_path, HEAD + "1,white 100,,,0.4,0.5,0.6\n2,blue 10 + white 90,opaque,,.1,.2,.3\n")
    )
    assert found.tints == ("white", "blue")
    assert found.parts.tolist() == [[100, 0], [90, 10]]
    assert found.wavelengths_nm.tolist() == [400, 410, 420]
    assert found.readings[1].tolist() == [0.1, 0.2, 0.3]


def test_per_cent(tmp_path: Path) -> None:
    found = read_drawdowns(table(tmp_path, "mixture,400%,410%\nwhite,40,50\n"))
    assert found.readings.tolist() == [[0.4, 0.5]]


def test_lab_columns(tmp_path: Path) -> None:
    found = read_drawdowns(table(tmp_path, "mixture,L,a,b\nwhite,95,-1,2\n"))
    assert found.readings.shape == (1, 31)
    assert 0.8 < found.readings.mean() < 0.95


def test_a_film_over_black_and_white_becomes_opaque(tmp_path: Path) -> None:
    k, s = np.array([0.01, 0.02, 0.04]), np.array([0.05, 0.06, 0.05])
    rows = ["bare black,,black,,0.05,0.05,0.05", "bare white,,white,,0.82,0.82,0.82"]
    for ground, bare in (("black", 0.05), ("white", 0.82)):
        body = bare - 0.04
        inside = body / (0.96 * 0.4 + 0.6 * body)
        read = measured_from_internal(film_reflectance(k, s, 20.0, inside), GLOSS)
        rows.append(f"{ground},blue 1,{ground},20," + ",".join(f"{v:.12f}" for v in read))
    found = read_drawdowns(table(tmp_path, HEAD + "\n".join(rows)))
    assert found.readings[0] == pytest.approx(
        measured_from_internal(reflectance_from_ks(k / s), GLOSS), abs=1e-9
    )
    assert found.films[0].per_micron.s == pytest.approx(s, rel=1e-6)
    assert found.films[0].per_micron.k == pytest.approx(k, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("card,400\n1,0.4\n", 1, "no column mixture"),
        ("card,mixture\n1,white\n", 1, "no columns of readings"),
        (HEAD + "1,white,grey,,1,1,1\n", 2, "no ground 'grey'"),
        (HEAD + "1,white,,,0.4,x,0.6\n", 2, "missing or no number"),
        (HEAD + "1,white,,,0.4,0.5\n", 2, "missing or no number"),
        (HEAD + "1,white,,,40,50,60\n", 2, "no reflectance from 0 to 1"),
        (HEAD + "1,white,,thin,.4,.5,.6\n", 2, "no film thickness"),
        (HEAD + "1,white 9 + blue,,,.4,.5,.6\n", 2, "'blue' is no tint with its parts"),
        (HEAD + "1,white,black,,.4,.5,.6\n", 0, "over white is missing"),
        (HEAD, 1, "no card"),
        ("", 1, "no column mixture"),
    ],
)
def test_faults_say_where_and_what(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(LiveryError, match=words) as error:
        read_drawdowns(table(tmp_path, text))
    first = error.value.findings[0]
    assert (first.place.line if first.place else 0) == line
    assert first.remedy


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(LiveryError) as error:
        read_drawdowns(table(tmp_path, HEAD + "1,white,grey,,1,1,1\n2,white,,,a,b,c\n"))
    assert len(error.value.findings) == 2


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="cannot be read"):
        read_drawdowns(tmp_path / "none.csv")


def test_mixtures_as_text() -> None:
    assert parse_mixture("white") == (("white", 1.0),)
    assert parse_mixture("signal red 2.5 + white 97.5") == (("signal red", 2.5), ("white", 97.5))
    assert parse_mixture("white 90 + blue 0") == (("white", 90.0),)
    with pytest.raises(ValueError, match="no parts"):
        parse_mixture("white 0")
