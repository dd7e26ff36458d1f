"""``python -m steadypoint`` does what the command ``steadypoint`` does."""

import sys

from steadypoint.cli import main

if __name__ == "__main__":
    sys.exit(main())
