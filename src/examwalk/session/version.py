"""Which version of a visit's file was read or written, to be compared before it is replaced."""

import os
from pathlib import Path
from typing import Self

from attrs import frozen


@frozen
class Version:
    """One version of a file. The stamp tells quickly that it still stands, the content surely.

    Where files are copied to and fro, as in a synced folder, a stamp changes though nothing else
    does.
    """

    inode: int
    changed_ns: int
    content: bytes

    @classmethod
    def of(cls, status: os.stat_result, content: bytes) -> Self:
        """Return the version that a file has, from its status and its content."""
        return cls(status.st_ino, status.st_mtime_ns, content)

    def stands_in(self, path: Path) -> bool:
        """Say whether a file holds this version still; one that cannot be read does not."""
        try:
            status = path.stat()
            if status.st_size != len(self.content):
                return False
            if (status.st_ino, status.st_mtime_ns) == (self.inode, self.changed_ns):
                return True
            return path.read_bytes() == self.content
        except OSError:
            return False
