"""From a protocol and findings to one immutable summary; pure functions, no disk, no screen."""
