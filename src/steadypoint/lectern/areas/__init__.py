"""The areas of the lectern, one module each; a module joins by standing here with its ``AREA``."""
