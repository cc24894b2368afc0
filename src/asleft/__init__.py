"""asleft: from as found to as left at an air handler with electric auxiliary heat."""

__version__ = "0.1.0"
