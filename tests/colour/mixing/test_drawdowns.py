from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from livery.colour.mixing.drawdowns import parse_mixture, read_drawdowns
from livery.colour.mixing.kubelka_munk import film_reflectance, reflectance_from_ks
from livery.colour.mixing.saunderson import GLOSS, internal_from_measured, measured_from_internal
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
        (HEAD + "1,white,grey,,1,1,1\n", 2, 'no ground "grey"'),
        (HEAD + "1,white,,,0.4,x,0.6\n", 2, "missing or no number"),
        (HEAD + "1,white,,,0.4,0.5\n", 2, "missing or no number"),
        (HEAD + "1,white,,,400,500,600\n", 2, "not a reflectance from 0 to 1"),
        (HEAD + "1,white,,,-0.4,0.5,0.6\n", 2, "reading of -0.4 is not a reflectance"),
        (HEAD + "1,white 9 + blue -1,,,.4,.5,.6\n", 2, "is not a tint with its parts"),
        (HEAD + "1,,,,.4,.5,.6\n", 2, "no mixture"),
        ("mixture,400,R400,410\nwhite,.4,.5,.6\n", 1, "two columns are for 400 nm"),
        ("white (g),blue (g),400,410\n9,x,.4,.5\n", 2, '"x" of blue is not a weight'),
        ("white,blue,page,400,410\n9,1,4,.4,.5\n", 1, "no column mixture"),
        ("tints,weights,400,410\nwhite+blue,9,.4,.5\n", 2, "2 tints have 1 weights"),
        (HEAD + "1,white,,thin,.4,.5,.6\n", 2, "not a film thickness"),
        (HEAD + "1,white 9 + blue,,,.4,.5,.6\n", 2, '"blue" is not a tint with its parts'),
        (
            HEAD + "1,white,black,,.4,.5,.6\n2,white,white,,.5,.6,.7\n3,blue,white,,.1,.2,.3\n",
            0,
            "over black is missing; other films of this table do not hide",
        ),
        (HEAD, 1, "no card"),
    ],
)
def test_faults_say_where_and_what(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(LiveryError, match=words) as error:
        read_drawdowns(table(tmp_path, text))
    first = error.value.findings[0]
    assert (first.place.line if first.place else 0) == line
    assert first.remedy


def test_cards_all_over_one_ground_are_taken_to_hide_it_and_told(tmp_path: Path) -> None:
    text = HEAD + "1,white,white,,.4,.5,.6\n2,blue,white,,.1,.2,.3\n"
    found = read_drawdowns(table(tmp_path, text))
    plain = read_drawdowns(table(tmp_path, text.replace(",white,,", ",opaque,,")))
    assert found.readings.tolist() == plain.readings.tolist()
    assert plain.findings == ()
    assert [f.code for f in found.findings] == ["drawdown-alone"]
    assert "2 cards were read over one ground only (1, 2)" in found.findings[0].message


@pytest.mark.parametrize(
    "text",
    [
        "mixture,400,410,420\nRoof White,.4,.5,.6\nroof white 90 + blue 10,.1,.2,.3\n",
        "\ufeffCard;Mixture;R400;R410;R420\n1;Roof White 100;0,4;0,5;0,6\n"
        "2;Roof White 90,0 + blue 10,0;0,1;0,2;0,3\n",
        "name,date,page,mixture,400 nm,410 nm,420 nm\n"
        "a,2026-05-01,12,100% Roof White,40,50,60\nb,2026-05-01,13,90% Roof White + 10% blue,10,20,30\n",
        "Roof White (g),blue (g),page,400,410,420\n25,,3,.4,.5,.6\n22.5,2.5,4,.1,.2,.3\n",
        "sep=;\nno;Roof White;blue;ground;λ 400;λ 410;λ 420\n"
        "7;1;;;0,4;0,5;0,6\n8;0,9;0,1;opaque;0,1;0,2;0,3\n",
        "Roof White %,blue %,420,410,400\n100,0,.6,.5,.4\n90,10,.3,.2,.1\n",
        "tint 1,weight 1,tint 2,weight 2,400,410,420\n"
        "Roof White,100,,,.4,.5,.6\nRoof White,90,blue,10,.1,.2,.3\n",
        'tints,weights,400,410,420\nRoof White,,.4,.5,.6\n"Roof White, blue","90, 10",.1,.2,.3\n',
        "tints,weights,400,410,420\nRoof White,1,.4,.5,.6\nRoof White & blue,90 10,.1,.2,.3\n",
        'tints,weights,400,410,420\nRoof White,1,.4,.5,.6\n"Roof White,blue","90,10",.1,.2,.3\n',
        "tints,weights,400,410,420\n['Roof White'],[1],.4,.5,.6\n"
        "\"['Roof White', 'blue']\",\"[90, 10]\",.1,.2,.3\n",
        "# read at the bench\n\nmixture\tground\tSPECTRAL_NM400\tSPECTRAL_NM410\tSPECTRAL_NM420\n"
        "Roof White\tOpaque\t0.4\t0.5\t0.6\nRoof White: 9 g; blue: 1 g\topaque\t0.1\t0.2\t0.3\n",
    ],
)
def test_tables_as_people_write_them(tmp_path: Path, text: str) -> None:
    path = tmp_path / "drawdowns.csv"
    path.write_text(text, encoding="utf-8")
    found = read_drawdowns(path)
    assert found.tints == ("Roof White", "blue")
    assert found.parts / found.parts.sum(axis=1, keepdims=True) == pytest.approx(
        np.array([[1.0, 0.0], [0.9, 0.1]])
    )
    assert found.wavelengths_nm.tolist() == [400, 410, 420]
    assert found.readings == pytest.approx(np.array([[0.4, 0.5, 0.6], [0.1, 0.2, 0.3]]))


def test_a_tint_with_a_number_in_its_name(tmp_path: Path) -> None:
    rows = "red 101,.4,.5,.6\nwhite,.4,.5,.6\nred 101 10 + white 90,.1,.2,.3\n"
    found = read_drawdowns(table(tmp_path, "mixture,400,410,420\n" + rows))
    assert found.tints == ("red 101", "white")
    assert found.parts.tolist() == [[1, 0], [0, 1], [10, 90]]


def test_fine_readings_are_brought_to_tens(tmp_path: Path) -> None:
    """A curve of gentle bends comes out as it is at every tenth nanometre."""
    nm = np.arange(400, 701)
    curve = 0.4 + 0.2 * np.sin(nm / 60.0)
    head, row = ",".join(map(str, nm)), ",".join(f"{v:.6f}" for v in curve)
    found = read_drawdowns(table(tmp_path, f"mixture,{head}\nwhite,{row}\n"))
    assert found.wavelengths_nm.tolist() == list(range(400, 701, 10))
    assert found.readings[0][1:-1] == pytest.approx(curve[10:-1:10], abs=2e-3)


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(LiveryError) as error:
        read_drawdowns(table(tmp_path, HEAD + "1,white,grey,,1,1,1\n2,white,,,a,b,c\n"))
    assert len(error.value.findings) == 2


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="cannot be read"):
        read_drawdowns(tmp_path / "none.csv")


@pytest.mark.parametrize(
    "text",
    [
        "signal red 10 + white 90",
        "10% signal red + 90% white",
        "signal red 10 % + white 90 %",
        "signal red: 10 g; white: 90 g",
        "signal red (10), white (90)",
        "10 g of signal red & 90 g of white",
        "10 signal red + 90 white",
    ],
)
def test_mixtures_as_people_write_them(text: str) -> None:
    assert parse_mixture(text) == (("signal red", 10.0), ("white", 90.0))


def test_mixtures_as_text() -> None:
    assert parse_mixture("white") == (("white", 1.0),)
    assert parse_mixture("signal red 2.5 + white 97.5") == (("signal red", 2.5), ("white", 97.5))
    assert parse_mixture("white 90 + blue 0") == (("white", 90.0),)
    with pytest.raises(ValueError, match="no parts"):
        parse_mixture("white 0")


def test_several_rows_of_the_bare_chart_are_averaged_and_told_if_they_differ(
    tmp_path: Path,
) -> None:
    film = "1,blue 100,black,25,0.06,0.06,0.06\n2,blue 100,white,25,0.3,0.3,0.3\n"
    black = "b1,,black,,0.05,0.05,0.05\n"

    def read(*whites: float):
        rows = [f"w,,white,,{w},{w},{w}\n" for w in whites]
        return read_drawdowns(table(tmp_path, HEAD + film + black + "".join(rows)))

    one, alike, apart = read(0.8), read(0.795, 0.805), read(0.7, 0.9)
    assert alike.readings == pytest.approx(one.readings)
    assert apart.readings == pytest.approx(one.readings)
    assert not alike.findings
    (warning,) = apart.findings
    assert "bare chart's white differ by up to 0.200" in warning.message


@pytest.mark.parametrize(("lighter", "warnings"), [(0.0, 0), (0.004, 0), (0.05, 1)])
def test_a_film_lighter_than_one_without_absorption_is_on_another_chart(
    tmp_path: Path, lighter: float, warnings: int
) -> None:
    white, black = 0.8, 0.05
    inside = internal_from_measured([black, white], GLOSS)
    over = measured_from_internal(film_reflectance(0.0, 0.02, 25.0, inside), GLOSS)
    rows = [
        f"1,white 100,black,25,{','.join(3 * [str(over[0])])}",
        f"1,white 100,white,25,{','.join(3 * [str(over[1] + lighter)])}",
        *(f"c,,{g},,{r},{r},{r}" for g, r in (("black", black), ("white", white))),
    ]
    found = read_drawdowns(table(tmp_path, HEAD + "\n".join(rows) + "\n"))
    assert np.isfinite(found.readings).all()
    assert found.readings.min() > 0.9
    told = [f for f in found.findings if f.code == "drawdown-other-chart"]
    assert len(told) == warnings
    if told:
        assert "card 1 over white reads up to 0.049 lighter" in told[0].message


@pytest.mark.parametrize("text", ["", "root:x:0:0:secret:/root\n", "[user]\nname = secret\n"])
def test_nothing_is_quoted_of_a_file_that_is_no_table(tmp_path: Path, text: str) -> None:
    with pytest.raises(LiveryError) as error:
        read_drawdowns(table(tmp_path, text))
    assert "drawdowns.csv: error: this is not a table of drawdowns" in str(error.value)
    assert "secret" not in str(error.value)
