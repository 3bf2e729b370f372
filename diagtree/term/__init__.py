"""The terminal: the walk line by line, and on the full screen. prompt_toolkit comes in through `screen` alone."""
