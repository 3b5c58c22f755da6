"""``livery schema``: the JSON Schema of a description, for editors that complete and check."""

from __future__ import annotations

import click


@click.command()
def command() -> None:
    """Print the JSON Schema of a description.

    An editor that knows TOML uses it to complete and check what you write.
    """
    from livery.cli._say import say_json
    from livery.describe.entries.description import DescriptionModel

    schema = DescriptionModel.model_json_schema()
    say_json({"$schema": "https://json-schema.org/draft/2020-12/schema", **schema})
