"""A guided foot and lower-limb examination, from the first question to a reasoned orthosis."""

__version__ = "0.1.0"
