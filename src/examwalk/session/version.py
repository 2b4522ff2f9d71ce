"""Which version of a visit's file was read or written, to be compared before it is replaced."""

import hashlib
import os
from pathlib import Path
from typing import Self

from attrs import frozen


@frozen
class Version:
    """One version of a file. The stamp tells quickly that it still stands, the digest surely.

    Where files are copied to and fro, as in a synced folder, a stamp changes though nothing else
    does.
    """

    inode: int
    changed_ns: int
    size_bytes: int
    digest: bytes

    @classmethod
    def of(cls, status: os.stat_result, data: bytes) -> Self:
        """Return the version that a file has, from its status and its content."""
        return cls(status.st_ino, status.st_mtime_ns, status.st_size, _digest(data))

    def stands_in(self, path: Path) -> bool:
        """Say whether a file holds this version still; one that cannot be read does not."""
        try:
            status = path.stat()
            stamp = (status.st_ino, status.st_mtime_ns, status.st_size)
            if stamp == (self.inode, self.changed_ns, self.size_bytes):
                return True
            return status.st_size == self.size_bytes and self.digest == _digest(path.read_bytes())
        except OSError:
            return False


def _digest(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()
