"""The system calls that a student's code has no use for are refused by the kernel (seccomp, through libseccomp)."""

from __future__ import annotations

import contextlib
import errno
import os
from typing import Any

_TERMINAL_INPUT, _CLONE_THREAD = 0x5412, 0x10000  # TIOCSTI; linux/sched.h
_INT = 0xFFFFFFFF  # the kernel looks at the lower half of an int only, so the upper half must not decide
_SET_SIGNAL_OWNER = (8, 10, 15)  # fcntl: F_SETOWN, F_SETSIG, F_SETOWN_EX

_REFUSED = {
    "network": "socket connect bind listen accept accept4",
    "other programs": "fork vfork execve execveat",
    "other processes": "ptrace process_vm_readv process_vm_writev process_madvise process_mrelease kcmp "
    "pidfd_open pidfd_getfd pidfd_send_signal",
    "mounts": "mount umount2 fsopen fsmount fsconfig fspick move_mount open_tree mount_setattr chroot pivot_root "
    "unshare setns mknod mknodat open_by_handle_at name_to_handle_at quotactl quotactl_fd swapon swapoff",
    "other users": "setuid setgid setreuid setregid setresuid setresgid setgroups setfsuid setfsgid",
    "the kernel": "keyctl add_key request_key bpf perf_event_open userfaultfd memfd_secret personality syslog acct "
    "io_uring_setup io_uring_enter io_uring_register iopl ioperm lookup_dcookie nfsservctl vhangup fanotify_init "
    "kexec_load kexec_file_load init_module finit_module delete_module reboot",
    "clock and names": "settimeofday clock_settime clock_adjtime adjtimex sethostname setdomainname",
    "shared memory": "shmget shmat shmctl semget msgget mq_open",
    "the scheduler": "mbind migrate_pages move_pages set_mempolicy ioprio_set sched_setattr sched_setscheduler "
    "sched_setaffinity sched_setparam setpriority",
}
_REFUSED_WITHOUT_WALLS = {
    "signals": "kill tkill rt_sigqueueinfo rt_tgsigqueueinfo prlimit64",
    "writing": "creat openat2 truncate ftruncate fallocate unlink unlinkat rename renameat renameat2 rmdir mkdir "
    "mkdirat link linkat symlink symlinkat",
    "attributes": "chmod fchmod fchmodat fchmodat2 chown fchown lchown fchownat utime utimes utimensat futimesat "
    "setxattr lsetxattr fsetxattr removexattr lremovexattr fremovexattr",
}


def call_filter(mode: str) -> Any:
    """Make the filter that refuses the system calls a student's code has no use for.

    Parameters
    ----------
    mode : str, "root", "user" or "reduced" (then it fits the calling process only)

    Returns
    -------
    pyseccomp.SyscallFilter, not yet loaded

    Raises
    ------
    ImportError, RuntimeError : pyseccomp or the system's libseccomp is missing
    """
    import pyseccomp as calls

    wall = calls.SyscallFilter(defaction=calls.ALLOW)
    refused = calls.ERRNO(errno.EPERM)
    groups = _REFUSED | (_REFUSED_WITHOUT_WALLS if mode == "reduced" else {})
    for name in " ".join(groups.values()).split():
        with contextlib.suppress(ValueError, OSError):  # a name that this machine's library does not know
            wall.add_rule(refused, name)
    # glibc then falls back to clone, whose flags can be read: threads yes, processes no
    wall.add_rule(calls.ERRNO(errno.ENOSYS), "clone3")
    wall.add_rule(refused, "clone", calls.Arg(0, calls.MASKED_EQ, _CLONE_THREAD, 0))
    wall.add_rule(refused, "ioctl", calls.Arg(1, calls.MASKED_EQ, _INT, _TERMINAL_INPUT))
    if mode == "reduced":
        _refuse_reaching_out(wall, calls)
    return wall


def _refuse_reaching_out(wall: Any, calls: Any) -> None:
    """Without walls a file may only be opened for reading, and signals only go to oneself."""
    refused = calls.ERRNO(errno.EPERM)
    wall.add_rule(refused, "tgkill", calls.Arg(0, calls.NE, os.getpid()))
    for command in _SET_SIGNAL_OWNER:
        wall.add_rule(refused, "fcntl", calls.Arg(1, calls.MASKED_EQ, _INT, command))
    for flag in (os.O_WRONLY, os.O_RDWR, os.O_CREAT, os.O_TRUNC):
        wall.add_rule(refused, "openat", calls.Arg(2, calls.MASKED_EQ, flag, flag))
        with contextlib.suppress(ValueError, OSError):  # aarch64 has no open
            wall.add_rule(refused, "open", calls.Arg(1, calls.MASKED_EQ, flag, flag))
