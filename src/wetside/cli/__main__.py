"""`python -m wetside.cli` is the `wetside` command."""

from wetside.cli.main import main

main()
