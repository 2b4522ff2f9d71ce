"""The pieces that the screens are made of."""
