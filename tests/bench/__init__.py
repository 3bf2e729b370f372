"""How fast and how small: ratios, both sides measured in one run. By hand, never asserted: `python -m tests.bench`."""
