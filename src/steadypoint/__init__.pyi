# What type checkers see of the lazy package: every public name of every layer.
from steadypoint.circuit import *
from steadypoint.errors import *
from steadypoint.solve import *
from steadypoint.values import *

__version__: str
