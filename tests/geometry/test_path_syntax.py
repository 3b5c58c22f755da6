import pytest

from livery.geometry.path_syntax import path_fault


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "M0 0",
        "m1,2L-3-4",
        "M.5.5 1e2-1E-1z",
        "M0 0a5 5 0 1110 0",
        "M0 0A5 5 0 0 1 9 9 5 5 0 10 3 3",
    ],
)
def test_what_the_grammar_allows_has_no_fault(text):
    assert path_fault(text) == ""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("L5 5", "a path begins with M"),
        ("M0 0 X5", "'X5' is not a command of a path"),
        ("M0 0 L5", "'L5' has not the numbers that L takes"),
        ("M0 0 L", "'L' has not the numbers that L takes"),
        ("M0 0 L5 1e999", "'L5 1e999' has not the numbers that L takes"),
        ("M0 0 a5 5 0 2 1 9 9", "'a5 5 0 2 1 9 9' has not the numbers that a takes"),
        ("M0 0 Z 5 5 and so on and on", "'5 5 and so on and on' is not a command of a path"),
    ],
)
def test_the_first_fault_is_shown_from_where_it_begins(text, words):
    assert path_fault(text) == words


@pytest.mark.parametrize("relative", [False, True])
@pytest.mark.parametrize(
    ("command", "takes"), [*zip("MLHVCSQT", (2, 2, 1, 1, 6, 4, 4, 2), strict=True), ("A", 7)]
)
def test_each_command_takes_its_numbers_once_or_several_times(command, takes, relative):
    """As many as SVG 2 gives each in its chapter on path data."""
    letter = command.lower() if relative else command
    begun = "" if command == "M" else "M0 0"
    for count in range(15):
        text = f"{begun}{letter}{' 1' * count}"
        assert (path_fault(text) == "") is (count > 0 and count % takes == 0), text
