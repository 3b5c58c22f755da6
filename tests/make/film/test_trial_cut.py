"""A test cut for each film: its hardest letter, its finest line, a square, at its settings."""

from dataclasses import replace

import pytest

from livery.describe.entries.making import KnifeEntry
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import PieceKind
from livery.make.film.cut_parts import cut_parts
from livery.make.film.cut_sheet import cut_sheet
from livery.make.film.film_sheets import film_sheets
from livery.make.film.trial_cut import _letter, trial_cuts
from livery.make.sheets.laying_words import laying_lines
from livery.units import read_length


def test_each_film_has_a_trial_of_a_letter_a_line_and_a_square(wagon):
    model = wagon.description.model
    parts = cut_parts(wagon.plan, model)
    (sheet,) = trial_cuts(parts)
    assert sheet.name == "test-cut-vinyl"
    by_name = {one.part.name: one.part.outline for one in sheet.parts}
    assert set(by_name) == {"letter", "line", "square"}
    lines = [stripe_line(p.outline) for p in parts]
    finest = min(line.width_mm for line in lines if line is not None)
    box = bounds(by_name["line"])
    assert (box.width, box.height) == pytest.approx((60.0, finest))
    square = bounds(by_name["square"])
    assert (square.width, square.height) == (10.0, 10.0)
    words = [to_shapely(p.outline) for p in parts if p.piece.kind.value == "lettering"]
    assert any(word.buffer(1e-6).covers(to_shapely(by_name["letter"])) for word in words)
    assert any(
        "test-cut-vinyl" in line for line in laying_lines(film_sheets(parts), wagon.plan, model)
    )


def test_of_letters_as_hard_to_cut_the_trial_has_the_leftmost(wagon):
    parts = cut_parts(wagon.plan, wagon.description.model)
    word = next(p for p in parts if p.piece.kind is PieceKind.LETTERING)
    letters = [rectangle(5, 9, Point(x, 0)) for x in (20, 0, 40)]
    together = replace(word, outline=Outline(tuple(c for one in letters for c in one)))
    assert _letter([together]) == letters[1]


def test_a_trial_is_cut_by_the_knife_of_its_film_and_without_letters_it_has_none(wagon):
    knife = KnifeEntry(offset=read_length("0.25 mm"))
    film = wagon.description.model.film["vinyl"].model_copy(update={"knife": knife})
    model = wagon.description.model.model_copy(update={"film": {"vinyl": film}})
    parts = cut_parts(wagon.plan, model)
    (sheet,) = trial_cuts(parts)
    layers = {mark.layer for mark in cut_sheet(sheet, "T").marks}
    assert "cut-knife-path" in layers and "cut" not in layers
    lining = [p for p in parts if p.piece.kind.value == "lining"]
    (plain,) = trial_cuts(lining)
    assert {one.part.name for one in plain.parts} == {"line", "square"}
    (bare,) = trial_cuts([p for p in parts if p.piece.kind.value == "lettering"][:1])
    lines = [bounds(one.part.outline) for one in bare.parts if one.part.name == "line"]
    assert {line.height for line in lines} == {1.0}  # no lining is cut
    assert trial_cuts(()) == ()
