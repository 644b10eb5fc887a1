"""Starting a program that nobody vouches for: what it may use, and as whom it runs.

Limits are set by a shell that then becomes the program, so that no code of ours runs between fork and exec.  What is
held on which system is told by `Sandbox.held`, in words; docs/drill.md says the same at more length.
"""

import os
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import NamedTuple

from games.problems import bad

IS_POSIX = os.name == "posix"
UNPRIVILEGED = "nobody"
"""Who runs the program where we are root."""
PROBE_SECONDS = 60
"""How long a question to the system may take; a machine that has other work answers late."""


class Limits(NamedTuple):
    """What a program may use.

    milliseconds: for one answer.  output_kb: printed in one answer.  memory_mb: address space of one process.
    file_kb: the size of a file that it writes.  open_files: at a time.  processes: at a time, its threads included.
    """

    milliseconds: int = 2000
    output_kb: int = 64
    memory_mb: int = 2048
    file_kb: int = 1024
    open_files: int = 64
    processes: int = 32


class Sandbox:
    """A place to run programs in: a scratch folder, limits, and a user; use it in a `with` block."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self._user = _unprivileged()
        self.folder = Path(tempfile.mkdtemp(prefix="wordtight-drill-"))
        if self._user is not None:
            os.chown(self.folder, *self._user)
        self._walls = self._walls_that_hold()

    def __enter__(self) -> "Sandbox":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def start(self, command: Sequence[str], *, stdin: int, stdout: int) -> subprocess.Popen[bytes]:
        """Start a program with these two files of ours as its input and its outputs, in a session of its own.

        Raises BadInput where the system will not start it.
        """
        try:
            return self._popen([*self._walls, *self._limited(command)], stdin, stdout)
        except OSError as error:
            raise bad(f"cannot be started: {error.strerror}", command[0]) from None

    def may(self, use: str, file: str) -> bool:
        """Whether who runs the program may read (``-r``) or run (``-x``) a file."""
        if self._user is None:
            return True
        asks = ["/bin/sh", "-c", 'test "$1" "$2"', "test", use, file]  # the shell's own, whatever PATH says
        return not self._popen(asks, subprocess.DEVNULL, subprocess.DEVNULL).wait(PROBE_SECONDS)

    def true_status(self, status: int) -> int:
        """An exit status as the system gives it, below 0 for a signal; bubblewrap tells signals as a shell does."""
        return 128 - status if self._walls and status > 128 else status

    @property
    def held(self) -> tuple[str, ...]:
        """What is held, in words."""
        limits = self.limits
        held = [f"{limits.milliseconds:,} ms and {limits.output_kb:,} KB of output for one answer"]
        if IS_POSIX:
            held.append(
                f"{limits.memory_mb:,} MB of memory, files of {limits.file_kb:,} KB, {limits.open_files} open files"
            )
            if _threads_of(self._uid) is not None:
                held.append(f"{limits.processes} processes")
        if self._user is not None:
            held.append(f"run as user '{UNPRIVILEGED}'")
        held.append(
            "no network, and only its scratch folder can be written (bubblewrap)"
            if self._walls
            else "network and other files NOT held"
        )
        return tuple(held)

    @property
    def _uid(self) -> int:
        return os.getuid() if self._user is None else self._user[0]

    def _popen(self, command: Sequence[str], stdin: int, stdout: int) -> subprocess.Popen[bytes]:
        if not IS_POSIX:
            return subprocess.Popen(command, stdin=stdin, stdout=stdout, stderr=subprocess.STDOUT)
        uid, gid = (None, None) if self._user is None else self._user
        return subprocess.Popen(
            command,
            stdin=stdin,
            stdout=stdout,
            stderr=stdout,
            cwd=self.folder,
            env=self._environment(),
            user=uid,
            group=gid,
            extra_groups=None if self._user is None else [],
            start_new_session=True,
        )

    def _environment(self) -> dict[str, str]:
        """Where programs are found and how they spell; nothing else of the caller's."""
        kept = {name: os.environ[name] for name in ("PATH", "LANG", "LC_ALL") if name in os.environ}
        here = str(self.folder)
        return {**kept, "HOME": here, "TMPDIR": here, "TERM": "dumb", "PYTHONDONTWRITEBYTECODE": "1"}

    def _limited(self, command: Sequence[str]) -> list[str]:
        """The command behind a shell that sets the limits and then becomes it."""
        if not IS_POSIX:
            return list(command)
        limits = self.limits
        orders = [
            f"ulimit -v {limits.memory_mb * 1024} 2>/dev/null",  # macOS has none
            f"ulimit -f {limits.file_kb * 2}",  # blocks of 512 bytes
            f"ulimit -n {limits.open_files}",
            "ulimit -c 0",
        ]
        running = _threads_of(self._uid)
        if running is not None:
            most = running + limits.processes
            orders.append(f"{{ ulimit -u {most} || ulimit -p {most}; }} 2>/dev/null")  # shells differ
        return ["/bin/sh", "-c", f'{"; ".join(orders)}; exec "$@"', "drill", *command]

    def _walls_that_hold(self) -> tuple[str, ...]:
        """A bubblewrap command that shuts a program in, where it is there and a probe shows that it works."""
        bwrap = shutil.which("bwrap") if IS_POSIX else None
        if bwrap is None:
            return ()
        here = str(self.folder)
        walls: tuple[str, ...] = (
            bwrap,
            "--ro-bind",
            "/",
            "/",
            "--dev-bind",
            "/dev",
            "/dev",
            "--proc",
            "/proc",
        )
        walls += ("--bind", here, here, "--chdir", here, "--unshare-all", "--die-with-parent")
        try:
            probe = self._popen([*walls, "/bin/sh", "-c", ":"], subprocess.DEVNULL, subprocess.DEVNULL)
        except OSError:
            return ()
        try:
            return () if probe.wait(PROBE_SECONDS) else walls
        except subprocess.TimeoutExpired:
            kill_all(probe)
            return ()


def kill_all(process: subprocess.Popen[bytes]) -> None:
    """End a program and everything that it has started in its session's first group; the dead are waited for."""
    if IS_POSIX:
        try:
            os.killpg(process.pid, signal.SIGKILL)
        except (ProcessLookupError, PermissionError):
            process.kill()
    else:
        process.kill()
    process.wait()


def _unprivileged() -> tuple[int, int] | None:
    """User and group to run programs as where we are root, else None.  Raises BadInput where there is no such user."""
    if not IS_POSIX or os.geteuid() != 0:
        return None
    import pwd

    try:
        user = pwd.getpwnam(UNPRIVILEGED)
    except KeyError:
        raise bad(
            f"programs are not run as root, and there is no user '{UNPRIVILEGED}'; expected another user"
        ) from None
    return user.pw_uid, user.pw_gid


def _threads_of(uid: int) -> int | None:
    """How many threads a user has running now; None where the system does not tell."""
    processes = Path("/proc")
    if not (processes / "self" / "task").is_dir():
        return None
    running = 0
    for each in processes.iterdir():
        if each.name.isdigit():
            try:
                if each.stat().st_uid == uid:
                    running += sum(1 for _ in (each / "task").iterdir())
            except OSError:
                continue  # it has ended meanwhile
    return running
