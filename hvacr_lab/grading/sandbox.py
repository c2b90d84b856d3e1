"""The walls around a student's code on Linux: an empty file system, no network, no capabilities, limits.

Three modes, found by trying and never by version:

``root``     namespaces made by root; the student's code runs under a user id that nobody else has
``user``     the same inside a user namespace, made by an ordinary user
``reduced``  namespaces are refused: a process of its own with limits and the system-call filter, which then also
             refuses to write files and to signal others; what the grader's user may read, the code may read
"""

from __future__ import annotations

import ctypes
import errno
import os
import platform
import resource
import stat
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from hvacr_lab.errors import LabError

# linux/sched.h, linux/mount.h, linux/prctl.h, linux/capability.h
_NEW_MOUNTS, _NEW_HOSTNAME, _NEW_IPC, _NEW_USER, _NEW_PIDS, _NEW_NET = (
    1 << 17,
    1 << 26,
    1 << 27,
    1 << 28,
    1 << 29,
    1 << 30,
)
_READ_ONLY, _NO_SUID, _NO_DEVICES, _NO_EXEC, _REMOUNT, _BIND, _RECURSIVE, _PRIVATE = (
    1,
    2,
    4,
    8,
    32,
    4096,
    16384,
    1 << 18,
)
_DETACH = 2
_SET_DEATH_SIGNAL, _SET_DUMPABLE, _DROP_BOUNDING, _NO_NEW_PRIVILEGES, _AMBIENT, _AMBIENT_CLEAR = 1, 4, 24, 38, 47, 4
_CAPABILITY_VERSION = 0x20080522
_PIVOT_ROOT = {"x86_64": 155, "aarch64": 41}
_SIGKILL = 9

_FIRST_STUDENT_UID, _STUDENT_UIDS = 61184, 64  # a range that distributions leave to dynamic users
_SYSTEM_PATHS = (
    *("/lib", "/lib64", "/usr/lib", "/usr/lib64", "/usr/local/lib", "/usr/share/fonts", "/usr/share/zoneinfo"),
    *("/etc/fonts", "/etc/ld.so.cache", "/etc/localtime"),
)
MODES = ("root", "user", "reduced")
BOX = "/box"
WORK, HOME, SCRATCH = f"{BOX}/work", f"{BOX}/home", f"{BOX}/tmp"

REDUCED_SENTENCE = (
    "This machine refuses namespaces, so the students' code was kept apart in a reduced way only: a process of its own "
    "with limits, without network, without writing files; it could read what this user may read. "
    "Allow user namespaces, or grade on another machine, before you rely on these marks."
)


@dataclass(frozen=True, slots=True)
class Limits:
    """What one submission may use.

    Parameters
    ----------
    cell_seconds : float, one cell; after it the next cell runs
    cpu_seconds : int, the whole notebook, processor time
    wall_seconds : float, the whole notebook, by the clock
    memory_bytes : int, beyond what the warm template has
    scratch_bytes, scratch_files : int, the private folder, kept in memory
    file_bytes, open_files : int, one file; files open at the same time
    """

    cell_seconds: float = 10.0
    cpu_seconds: int = 30
    wall_seconds: float = 60.0
    memory_bytes: int = 1 << 30
    scratch_bytes: int = 64 << 20
    scratch_files: int = 2048
    file_bytes: int = 16 << 20
    open_files: int = 64


class Refused(OSError):
    """The kernel did not allow one step of building the walls."""


def refuse_off_linux(system: str = sys.platform) -> None:
    """Say in one sentence that grading needs Linux.

    Parameters
    ----------
    system : str, as ``sys.platform``

    Raises
    ------
    LabError : on any other system
    """
    if system != "linux":
        raise LabError(
            f"Grading runs on Linux only, this is {system}: elsewhere students' code cannot be kept away from keys "
            "and marks. Students may work on any machine; copy the class folder to a Linux machine to grade."
        )


def _libc() -> ctypes.CDLL:
    return ctypes.CDLL(None, use_errno=True)


def _check(result: int, step: str) -> None:
    if result != 0:
        code = ctypes.get_errno()
        raise Refused(code, f"{step}: {os.strerror(code)}")


def _unshare(flags: int) -> None:
    _check(_libc().unshare(flags), "unshare")


def _mount(source: str | None, target: str, kind: str | None, flags: int, options: str | None = None) -> None:
    source_, target_, kind_, options_ = (
        None if text is None else os.fsencode(text) for text in (source, target, kind, options)
    )
    _check(_libc().mount(source_, target_, kind_, ctypes.c_ulong(flags), options_), f"mount {target}")


def _prctl(option: int, value: int, third: int = 0) -> int:
    arguments = [ctypes.c_ulong(number) for number in (value, third, 0, 0)]
    return int(_libc().prctl(ctypes.c_int(option), *arguments))


def _enter_user_namespace() -> None:
    """Become the only user of a new user namespace, with every capability inside it and none outside."""
    uid, gid = os.getuid(), os.getgid()
    _unshare(_NEW_USER)
    Path("/proc/self/setgroups").write_text("deny")
    Path("/proc/self/uid_map").write_text(f"1000 {uid} 1")
    Path("/proc/self/gid_map").write_text(f"1000 {gid} 1")


def _own_namespaces(mode: str, *, with_pids: bool = False) -> None:
    if mode == "user":
        _enter_user_namespace()
    _unshare(_NEW_MOUNTS | _NEW_NET | _NEW_IPC | _NEW_HOSTNAME | (_NEW_PIDS if with_pids else 0))
    _mount(None, "/", None, _RECURSIVE | _PRIVATE)


def _succeeds(trial: Callable[[], None]) -> bool:
    """Try a step in a child that ends right after it."""
    child = os.fork()
    if child == 0:
        try:
            trial()
        except BaseException:
            os._exit(1)
        os._exit(0)
    return os.waitpid(child, 0)[1] == 0


def find_mode(folder: str) -> str:
    """Find out by trying, in children, which walls this machine lets us build.

    Parameters
    ----------
    folder : str, an empty folder of ours to mount something on

    Returns
    -------
    str, "root", "user" or "reduced"
    """

    def trial(mode: str) -> Callable[[], None]:
        def build() -> None:
            _own_namespaces(mode, with_pids=True)
            _mount("trial", folder, "tmpfs", _NO_SUID | _NO_DEVICES)

        return build

    modes = ["user"] if os.geteuid() else ["root", "user"]
    return next((mode for mode in modes if _succeeds(trial(mode))), "reduced")


def readable_paths() -> list[str]:
    """What Python, its libraries and hvacr_lab need to read; nothing of a repository or a class around them.

    Returns
    -------
    list of absolute paths, none inside another
    """
    prefixes = {sys.prefix, sys.base_prefix, sys.exec_prefix, sys.base_exec_prefix}
    own = [f"{prefix}/{part}" for prefix in prefixes for part in ("lib", "lib64", "pyvenv.cfg", "share/fonts")]
    own += [*library_folders(), str(Path(__file__).parent.parent)]
    own += [os.path.realpath(path) for path in own]
    return _outermost(path for path in (*own, *_SYSTEM_PATHS) if Path(path).exists())


def library_folders() -> list[str]:
    """Folders of installed libraries on this interpreter's path.

    Returns
    -------
    list of str
    """
    return [entry for entry in sys.path if Path(entry).name in ("site-packages", "dist-packages")]


def _outermost(paths: Iterable[str]) -> list[str]:
    unique = sorted({os.path.normpath(path) for path in paths})
    return [path for path in unique if not any(path.startswith(other + "/") for other in unique)]


def _bind_read_only(source: str, target: Path) -> None:
    if Path(source).is_dir():
        target.mkdir(parents=True, exist_ok=True)
    else:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.touch()
    _mount(source, str(target), None, _BIND | _RECURSIVE)
    # a user namespace may add restrictions to a mount, never take one away
    kept = _NO_EXEC if os.statvfs(source).f_flag & os.ST_NOEXEC else 0
    _mount(None, str(target), None, _REMOUNT | _BIND | _READ_ONLY | _NO_SUID | _NO_DEVICES | kept)


def _furnish(root: Path, readable: Sequence[str]) -> None:
    for path in readable:
        inside = root / path.lstrip("/")
        if Path(path).is_symlink() and Path(path).parent == Path("/"):
            inside.symlink_to(Path(path).readlink())  # /lib -> usr/lib
        else:
            _bind_read_only(path, inside)
    (root / "dev").mkdir()
    for name in ("null", "zero", "full", "random", "urandom"):
        (root / "dev" / name).touch()
        _mount(f"/dev/{name}", str(root / "dev" / name), None, _BIND)
    for folder in (BOX, "/tmp", "/etc"):
        (root / folder.lstrip("/")).mkdir(exist_ok=True)
    (root / "etc" / "passwd").write_text(f"student:x:1000:1000::{HOME}:/bin/false\n")


def build_root(mode: str, folder: str, readable: Sequence[str]) -> None:
    """Move this process into a file system that holds the readable paths and nothing else.

    Parameters
    ----------
    mode : str, "root" or "user"
    folder : str, an empty folder of ours; parent of none of the readable paths
    readable : sequence of str, bound read-only
    """
    _own_namespaces(mode)
    root = Path(folder)
    _mount("lab", folder, "tmpfs", _NO_SUID | _NO_DEVICES, "size=4m,mode=755,nr_inodes=4096")
    _furnish(root, readable)
    old = root / "old"
    old.mkdir()
    os.chdir(root)
    _check(_libc().syscall(_PIVOT_ROOT[platform.machine()], b".", b"old"), "pivot_root")
    os.chdir("/")
    _check(_libc().umount2(b"/old", _DETACH), "leave the old root")
    Path("/old").rmdir()
    _mount(None, "/", None, _REMOUNT | _BIND | _READ_ONLY | _NO_SUID | _NO_DEVICES)


def own_process_space(mode: str) -> None:
    """Give the next child its own process numbers, mounts, network and shared memory.

    Parameters
    ----------
    mode : str, "root", "user" or "reduced"
    """
    if mode != "reduced":
        _unshare(_NEW_MOUNTS | _NEW_PIDS | _NEW_NET | _NEW_IPC)


def private_folder(mode: str, slot: int, limits: Limits) -> None:
    """Mount an empty folder in memory for this submission and go there.

    Parameters
    ----------
    mode : str, "root", "user" or "reduced" (which has no folder to write to)
    slot : int, number of the sandbox
    limits : Limits
    """
    if mode == "reduced":
        os.chdir("/")
        return
    options = f"size={limits.scratch_bytes},nr_inodes={limits.scratch_files},mode=700"
    _mount("box", BOX, "tmpfs", _NO_SUID | _NO_DEVICES | _NO_EXEC, options)
    for folder in (WORK, HOME, SCRATCH):
        Path(folder).mkdir()
    if mode == "root":
        for folder in (BOX, WORK, HOME, SCRATCH):
            os.chown(folder, _uid(slot), _uid(slot))
    os.chdir(WORK)


def _uid(slot: int) -> int:
    return _FIRST_STUDENT_UID + slot % _STUDENT_UIDS


def address_space_bytes() -> int:
    """Read how much address space this process has now.

    Returns
    -------
    int [byte]
    """
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    return pages * resource.getpagesize()


def set_limits(limits: Limits, base_bytes: int) -> None:
    """Set the kernel's limits on this process.

    Parameters
    ----------
    limits : Limits
    base_bytes : int, address space of the template
    """
    # the soft processor limit is ignored by process 1 of a namespace: the hard one ends it
    table = {
        resource.RLIMIT_AS: (base_bytes + limits.memory_bytes,) * 2,
        resource.RLIMIT_CPU: (limits.cpu_seconds, limits.cpu_seconds + 1),
        resource.RLIMIT_FSIZE: (limits.file_bytes,) * 2,
        resource.RLIMIT_NOFILE: (limits.open_files,) * 2,
        resource.RLIMIT_NPROC: (32, 32),
        resource.RLIMIT_CORE: (0, 0),
        resource.RLIMIT_MEMLOCK: (0, 0),
        resource.RLIMIT_MSGQUEUE: (0, 0),
        resource.RLIMIT_SIGPENDING: (64, 64),
    }
    for kind, pair in table.items():
        hard = resource.getrlimit(kind)[1]
        low = [value if hard == resource.RLIM_INFINITY else min(value, hard) for value in pair]
        resource.setrlimit(kind, (low[0], low[1]))


def die_with_parent() -> None:
    """Ask the kernel to end this process as soon as its parent ends."""
    _prctl(_SET_DEATH_SIGNAL, _SIGKILL)


def give_up_rights(mode: str, slot: int) -> None:
    """Give up every right that root or the user namespace gave; there is no way back.

    Parameters
    ----------
    mode : str, "root", "user" or "reduced"
    slot : int, number of the sandbox; as root each has its own user id
    """
    _check(_prctl(_NO_NEW_PRIVILEGES, 1), "no_new_privs")
    capability = 0
    while _prctl(_DROP_BOUNDING, capability) == 0:
        capability += 1
    if mode == "root":
        os.setgroups([])
        os.setresgid(_uid(slot), _uid(slot), _uid(slot))
        os.setresuid(_uid(slot), _uid(slot), _uid(slot))
    header, none = (ctypes.c_uint32 * 2)(_CAPABILITY_VERSION, 0), (ctypes.c_uint32 * 6)()
    _check(_libc().capset(header, none), "capset")
    _prctl(_AMBIENT, _AMBIENT_CLEAR)
    _prctl(_SET_DUMPABLE, 0)
    die_with_parent()  # a change of user cancels an earlier wish


def forget_files(kept: int) -> None:
    """Point 0, 1, 2 at nothing and make sure that no descriptor but one and files opened for reading is left.

    Parameters
    ----------
    kept : int, descriptor of the way to the grader

    Raises
    ------
    Refused : something else is open that a student's code could use
    """
    nothing = os.open(os.devnull, os.O_RDWR)
    for standard in (0, 1, 2):
        os.dup2(nothing, standard)
    os.close(nothing)
    # closing the others blindly would pull files from under live font objects: look instead
    for number in range(3, 1024):
        if number != kept and _could_be_used(number):
            raise Refused(errno.EMFILE, f"descriptor {number} is open in the template")


def _could_be_used(number: int) -> bool:
    import fcntl

    try:
        kind, flags = os.fstat(number).st_mode, fcntl.fcntl(number, fcntl.F_GETFL)
    except OSError:
        return False
    return not stat.S_ISREG(kind) or bool(flags & os.O_ACCMODE)
