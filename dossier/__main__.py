"""``python -m dossier``."""

import sys

from dossier.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
