"""The exit statuses of the command line; argparse itself ends with 2 where the usage is wrong."""

GOOD = 0
INPUT_AT_FAULT = 1
COMMAND_AT_FAULT = 2
INTERRUPTED = 130
