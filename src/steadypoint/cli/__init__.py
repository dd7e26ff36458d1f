"""The command line: thin commands over the layers below.

Nothing heavy is imported here, so that ``steadypoint --help`` answers at once; each command loads
the layers it needs when it runs.
"""

from steadypoint.cli._start import main

__all__ = ["main"]
