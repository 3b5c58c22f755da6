"""A train: vehicles in their order, each from its own description or a row of a table."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, field_validator

from livery.describe.entries.names import Name
from livery.describe.values import AnyLength
from livery.toml.entry import Entry, wrong


class RowEntry(Entry):
    """The row of a table that gives this vehicle its numbers, names and words.

    A text with {column} in it gets the value of that column of the row.
    """

    table: str
    """The table: a CSV file whose first line names its columns, or a TOML file with a table for each row."""
    called: str
    """The row: the value in its first column, or the name of its table."""


class TrainVehicle(Entry):
    """One entry of a train: a description with its vehicle, or its engine and tender."""

    called: Name
    """Its name in the train; its panels' names begin with it."""
    file: str
    """The file of its description."""
    row: str | None = None
    """The row for this vehicle in the table that its description names."""
    turned: bool = False
    """Whether it runs the other way round, with its rear end first."""
    gap: AnyLength | None = None
    """The distance from the headstock of the vehicle in front to its own; if left out, it follows
    from their coupling planes."""


class Train(Entry):
    """A train: its vehicles from the front."""

    vehicle: Annotated[tuple[TrainVehicle, ...], Field(min_length=1, max_length=200)]
    """The vehicles, from the front."""

    @field_validator("vehicle")
    @classmethod
    def _names_tell_apart(cls, vehicles: tuple[TrainVehicle, ...]) -> tuple[TrainVehicle, ...]:
        if vehicles[0].gap is not None:
            raise wrong(
                "without-effect",
                f'gap has no effect for "{vehicles[0].called}", which is the first',
                "Delete it: a gap is written for the vehicle behind it.",
            )
        names = [v.called for v in vehicles]
        for i, name in enumerate(names):
            clash = next((n for n in names[:i] if n == name or _begins(n, name)), None)
            if clash is not None:
                raise wrong(
                    "train",
                    f'"{clash}" and "{name}" are not distinguished by the names of their panels',
                    "Call one of them something else.",
                )
        return vehicles


def _begins(one: str, other: str) -> bool:
    return one.startswith(f"{other}-") or other.startswith(f"{one}-")
