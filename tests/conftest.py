"""What every test shares. Properties are never timed: a loaded machine is no fault of the program."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
