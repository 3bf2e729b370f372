"""The guided walk: what was replied, where that leads, and what it says. No screen, no files."""
