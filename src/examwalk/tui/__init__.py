"""The terminal app: keys in, pictures out."""
