# What type checkers see of the lazy package, lowest layer first: where two layers share a name the
# lower one's is meant, and a layer's own name always means the layer.
from steadypoint import derive as derive
from steadypoint import solve as solve
from steadypoint.errors import *
from steadypoint.values import *
from steadypoint.kernels import *
from steadypoint.devices import *
from steadypoint.circuit import *
from steadypoint.solve import *  # type: ignore[no-redef]
from steadypoint.derive import *  # type: ignore[assignment, no-redef]
from steadypoint.spread import *
from steadypoint.choose import *
from steadypoint.draw import *
from steadypoint.publish import *  # type: ignore[assignment]
from steadypoint.proof import *
from steadypoint.lesson import *

__version__: str
