"""The screens: each shows what the open visit holds and turns keys into changes of it."""
