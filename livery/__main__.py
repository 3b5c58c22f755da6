"""Run the command line with ``python -m livery``."""

from livery.cli import main

main()
