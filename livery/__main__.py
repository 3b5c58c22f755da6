"""Run the command line with ``python -m livery``."""

from livery.start import main

main()
