"""`python -m costsim` is the command `costsim`."""

import sys

from costsim.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
