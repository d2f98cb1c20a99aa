"""`python -m arsis`."""

from arsis.cli.main import main

main(prog_name="arsis")
