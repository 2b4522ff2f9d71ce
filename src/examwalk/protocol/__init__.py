"""The protocol: what may be asked, and what follows from it."""
