"""YAML text to model: what could be read, and every problem found, each with its place. PyYAML comes in here only."""
