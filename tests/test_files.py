"""What a user may rely on when a file is saved."""

import errno
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from examwalk.files import SaveFailedError, previous_version, write_atomically

OLD = b"the old version\n"
NEW = b"the new version, which is longer\n" * 200


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.fixture
def saved(tmp_path: Path) -> Path:
    path = tmp_path / "visit.toml"
    path.write_bytes(OLD)
    return path


class TestWriting:
    def test_a_new_file_holds_the_bytes_and_nothing_else_lies_beside_it(self, tmp_path: Path):
        write_atomically(tmp_path / "visit.toml", NEW)
        assert (tmp_path / "visit.toml").read_bytes() == NEW
        assert names_in(tmp_path) == {"visit.toml"}

    def test_the_version_before_is_kept_beside_the_file(self, saved: Path):
        write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW
        assert previous_version(saved).read_bytes() == OLD
        assert names_in(saved.parent) == {"visit.toml", "visit.toml.previous"}

    def test_only_the_last_version_before_is_kept(self, saved: Path):
        write_atomically(saved, b"second")
        write_atomically(saved, b"third")
        assert previous_version(saved).read_bytes() == b"second"

    def test_keeping_the_version_before_can_be_left_out(self, saved: Path):
        write_atomically(saved, NEW, keep_previous=False)
        assert names_in(saved.parent) == {"visit.toml"}

    def test_an_empty_content_is_written_as_an_empty_file(self, saved: Path):
        write_atomically(saved, b"")
        assert saved.read_bytes() == b""

    @pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights in another way")
    @pytest.mark.parametrize("umask", [0o000, 0o022])
    def test_files_and_new_folders_are_private_whatever_the_umask(self, tmp_path: Path, umask: int):
        path = tmp_path / "data" / "sessions" / "visit.toml"
        before = os.umask(umask)
        try:
            write_atomically(path, OLD)
            write_atomically(path, NEW)
        finally:
            os.umask(before)
        modes = {
            part.name: stat.S_IMODE(part.stat().st_mode)
            for part in (path.parent.parent, path.parent, path, previous_version(path))
        }
        assert modes == {
            "data": 0o700,
            "sessions": 0o700,
            "visit.toml": 0o600,
            "visit.toml.previous": 0o600,
        }

    def test_what_a_killed_writer_left_behind_is_cleared_away(self, saved: Path):
        saved.with_name(".visit.toml.writing").write_bytes(b"half a fi")
        saved.with_name(".visit.toml.keeping").write_bytes(b"older")
        write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW
        assert names_in(saved.parent) == {"visit.toml", "visit.toml.previous"}

    def test_a_writer_killed_between_keeping_and_replacing_does_no_harm(self, saved: Path):
        os.link(saved, previous_version(saved))
        write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW
        assert previous_version(saved).read_bytes() == OLD
        assert names_in(saved.parent) == {"visit.toml", "visit.toml.previous"}

    def test_a_symbolic_link_stays_one_and_its_file_is_written(self, saved: Path):
        folder = saved.parent / "elsewhere"
        folder.mkdir()
        link = folder / "link.toml"
        link.symlink_to(saved)
        write_atomically(link, NEW)
        assert link.is_symlink()
        assert saved.read_bytes() == NEW
        assert names_in(folder) == {"link.toml"}

    def test_a_disk_without_links_still_keeps_the_version_before(
        self, saved: Path, monkeypatch: pytest.MonkeyPatch
    ):
        monkeypatch.setattr(os, "link", failing_with(errno.EPERM))
        write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW
        assert previous_version(saved).read_bytes() == OLD
        assert names_in(saved.parent) == {"visit.toml", "visit.toml.previous"}

    def test_a_disk_that_cannot_sync_folders_is_no_failure(
        self, saved: Path, monkeypatch: pytest.MonkeyPatch
    ):
        sync = os.fsync

        def sync_files_only(descriptor: int) -> None:
            if stat.S_ISDIR(os.fstat(descriptor).st_mode):
                raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
            sync(descriptor)

        monkeypatch.setattr(os, "fsync", sync_files_only)
        write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW

    def test_a_disk_that_takes_a_few_bytes_at_a_time_gets_them_all(
        self, saved: Path, monkeypatch: pytest.MonkeyPatch
    ):
        write = os.write
        monkeypatch.setattr(os, "write", lambda fd, data: write(fd, bytes(data[:7])))
        write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW

    def test_the_content_is_on_the_disk_before_it_takes_the_name(
        self, saved: Path, monkeypatch: pytest.MonkeyPatch
    ):
        steps: list[str] = []
        for name in ("write", "fsync", "link", "replace"):
            monkeypatch.setattr(os, name, noting(steps, name, getattr(os, name)))
        write_atomically(saved, NEW)
        assert steps == ["write", "fsync", "link", "replace", "replace", "fsync"]


def failing_with(number: int) -> Callable[..., object]:
    def fail(*_arguments: object, **_options: object) -> object:
        raise OSError(number, os.strerror(number))

    return fail


def noting(steps: list[str], name: str, function: Callable[..., object]) -> Callable[..., object]:
    def noted(*arguments: object, **options: object) -> object:
        steps.append(name)
        return function(*arguments, **options)

    return noted


class TestFailingDisk:
    @pytest.mark.parametrize("step", ["open", "write", "fsync", "replace", "link"])
    @pytest.mark.parametrize(
        ("number", "words"),
        [
            (errno.ENOSPC, "the disk is full"),
            (errno.EDQUOT, "the disk is full"),
            (errno.EROFS, "read-only"),
            (errno.EACCES, "not permitted"),
            (errno.EIO, "the disk reported a fault"),
            (errno.ESTALE, os.strerror(errno.ESTALE)),
        ],
    )
    def test_the_old_version_stands_and_the_user_is_told_why(
        self, saved: Path, monkeypatch: pytest.MonkeyPatch, step: str, number: int, words: str
    ):
        with monkeypatch.context() as patch:
            patch.setattr(os, step, failing_with(number))
            with pytest.raises(SaveFailedError) as error:
                write_atomically(saved, NEW)
        assert saved.read_bytes() == OLD
        assert names_in(saved.parent) == {"visit.toml"}
        message = str(error.value)
        assert message.startswith(f"Could not save {saved}: ")
        assert words in message
        assert "Nothing that was saved before is lost." in message
        assert error.value.path == saved
        assert error.value.cause.errno == number

    def test_each_kind_of_failure_has_a_sentence_of_its_own(self):
        kinds = (errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EIO)
        sentences = {
            str(SaveFailedError(Path("a"), OSError(kind, os.strerror(kind)))) for kind in kinds
        }
        assert len(sentences) == len(kinds)

    def test_whichever_call_fails_the_file_is_old_or_new_and_no_leftover_stays(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ):
        failed = 0
        for nth in range(1, 100):
            path = tmp_path / str(nth) / "visit.toml"
            path.parent.mkdir()
            path.write_bytes(OLD)
            with monkeypatch.context() as patch:
                calls = FailingCalls(nth, path)
                for name in ("open", "write", "fsync", "close", "link", "replace"):
                    patch.setattr(os, name, calls.wrap(getattr(os, name)))
                try:
                    write_atomically(path, NEW)
                except SaveFailedError:
                    failed += 1
            assert path.read_bytes() in (OLD, NEW)
            assert names_in(path.parent) <= {"visit.toml", "visit.toml.previous"}
            if calls.count < nth:
                assert path.read_bytes() == NEW
                break
        assert failed == nth - 1 >= 8

    def test_where_only_the_folder_cannot_be_synced_the_new_version_is_whole(
        self, saved: Path, monkeypatch: pytest.MonkeyPatch
    ):
        sync = os.fsync

        def fail_on_folders(descriptor: int) -> None:
            if stat.S_ISDIR(os.fstat(descriptor).st_mode):
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            sync(descriptor)

        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", fail_on_folders)
            with pytest.raises(SaveFailedError, match="the disk reported a fault"):
                write_atomically(saved, NEW)
        assert saved.read_bytes() == NEW
        assert previous_version(saved).read_bytes() == OLD

    @pytest.mark.skipif(os.name == "nt", reason="needs a limit that only POSIX sets")
    def test_a_real_limit_on_the_size_of_files_leaves_the_old_version(self, saved: Path):
        program = (
            "import resource, sys\n"
            "from pathlib import Path\n"
            "from examwalk.files import SaveFailedError, write_atomically\n"
            "resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
            "try:\n"
            "    write_atomically(Path(sys.argv[1]), b'x' * 10_000)\n"
            "except SaveFailedError as error:\n"
            "    print(error)\n"
        )
        run = subprocess.run(
            [sys.executable, "-c", program, saved], capture_output=True, text=True, check=True
        )
        assert "the file would grow larger than is allowed" in run.stdout
        assert saved.read_bytes() == OLD
        assert names_in(saved.parent) == {"visit.toml"}

    def test_a_file_where_a_folder_should_be_is_told_as_such(self, saved: Path):
        with pytest.raises(SaveFailedError, match="a part of the path is a file, not a folder"):
            write_atomically(saved / "sub" / "visit.toml", NEW)
        assert saved.read_bytes() == OLD

    def test_a_folder_where_the_file_should_be_is_told_as_such(self, tmp_path: Path):
        (tmp_path / "visit.toml").mkdir()
        with pytest.raises(SaveFailedError, match="a folder of this name stands in the way"):
            write_atomically(tmp_path / "visit.toml", NEW, keep_previous=False)
        assert names_in(tmp_path) == {"visit.toml"}

    def test_a_name_that_is_too_long_is_told_as_such(self, tmp_path: Path):
        with pytest.raises(SaveFailedError, match="the name is too long"):
            write_atomically(tmp_path / ("x" * 250), NEW)
        assert names_in(tmp_path) == set()

    def test_the_message_cannot_drive_a_terminal(self):
        error = SaveFailedError(Path("a\x1b]2;x\x07\u202eb"), ValueError("\x9bno"))
        assert str(error).isprintable()


class FailingCalls:
    """Calls into the operating system of which the n-th fails; the target is looked at each time.

    A failing close has closed all the same, as it has on Linux.
    """

    def __init__(self, nth: int, target: Path) -> None:
        self.nth = nth
        self.count = 0
        self._target = target
        self._stat = os.stat

    def wrap(self, function: Callable[..., object]) -> Callable[..., object]:
        def called(*arguments: object, **options: object) -> object:
            self.count += 1
            assert self._stat(self._target).st_size in (len(OLD), len(NEW))
            if self.count == self.nth:
                if function.__name__ == "close":
                    function(*arguments, **options)
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            return function(*arguments, **options)

        return called
