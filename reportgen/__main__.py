"""Lets `python -m reportgen` stand for the command."""

from reportgen.cli import main

raise SystemExit(main())
