"""Fault trees for chain-driven camshafts: walk them, scope the repair, draw the poster."""

# A constant: looking the version up in the installed package's metadata costs a start more than Python itself.
__version__ = "0.1.0"
