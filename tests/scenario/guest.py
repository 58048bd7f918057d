"""A small Linux machine in software (QEMU): Debian's kernel, busybox and the program, with 16550 UARTs.

A pseudo-terminal has no modem lines and no entry in sysfs, so a serial port proper can be tested here only.
The kernel comes unpacked from its package (./dev test does that); nothing is installed for it.
"""

import gzip
import lzma
import os
import re
import shutil
import socket
import stat
import subprocess
import time
from pathlib import Path

QEMU = "qemu-system-x86_64"
MEMORY_MB = 256  # and room for the program, which a sanitizer makes large
# In the order in which they need each other.
USB_MODULES = ("usb-common", "usbcore", "xhci-hcd", "xhci-pci", "usbserial", "ftdi_sio")

# Runs each step with its outputs apart, and says how it ended.
INIT = """#!/bin/busybox sh
/bin/busybox --install -s /bin
export PATH=/bin HOME=/work
mount -t devtmpfs dev /dev; mount -t proc proc /proc; mount -t sysfs sys /sys; mount -t tmpfs tmp /tmp
step() {
  name=$1; shift
  "$@" >/tmp/out 2>/tmp/err; code=$?
  echo; echo "@@ $name out"; cat /tmp/out; echo; echo "@@ $name err"; cat /tmp/err; echo; echo "@@ $name exit $code"
}
cd /work
for module in MODULES; do [ -s /modules/$module.ko ] && insmod /modules/$module.ko; done
. ./steps
poweroff -f
"""


class Unavailable(Exception):
    """This computer cannot run the guest; says why."""


class Step:
    """What one step of the guest printed, and its exit code."""

    def __init__(self, output, errors, code):
        self.output, self.errors, self.code = output, errors, code

    def __repr__(self):
        return f"exit {self.code}\n{self.output}\n{self.errors}"


class Guest:
    """Runs a script of `step NAME COMMAND...` lines, and powers off."""

    def __init__(self, program, folder, kernel_folder):
        self.program, self.folder = Path(shutil.which(program) or program), Path(folder)
        self.kernel_folder = Path(kernel_folder)
        self.kernel = find_kernel(self.kernel_folder)
        self.busybox = find_tool("busybox", "busybox-static")
        find_tool(QEMU, "qemu-system-x86")

    def boot(self, steps, files, ports=()):
        """Starts it. `ports`: addresses HOST:PORT behind ttyS1, ttyS2, ..."""
        initrd = self.folder / "initrd.gz"
        program = self.stripped_program()
        with gzip.open(initrd, "wb", compresslevel=1) as archive:
            write_cpio(archive, self.tree(steps, files, program))
        memory_mb = MEMORY_MB + 4 * program.stat().st_size // 2**20
        # QEMU keeps the ACPI timer true to the host's time; the processor's counter is measured by the
        # guest while it boots, and wrongly on a busy host, where its test of the timer fails too. Not on KVM: inside other virtual machines it may be there and not work.
        # fmt: off
        command = [
            QEMU, "-accel", "tcg", "-m", str(memory_mb), "-nodefaults", "-display", "none", "-no-reboot",
            "-kernel", self.kernel, "-initrd", initrd,
            "-append", "console=ttyS0 quiet loglevel=1 panic=-1 random.trust_cpu=on no_timer_check clocksource=acpi_pm",
            "-device", "qemu-xhci", "-monitor", f"unix:{self.folder / 'monitor'},server=on,wait=off",
            "-serial", "stdio",
        ]
        # fmt: on
        for address in ports:
            command += ["-serial", f"tcp:{address}"]
        return Machine(command, self.folder)

    def tree(self, steps, files, program):
        """The guest's files: path to bytes, to a Path to copy, or to None for a folder."""
        tree = {folder: None for folder in ("bin", "dev", "proc", "sys", "tmp", "work")}
        tree |= {
            "init": INIT.replace("MODULES", " ".join(USB_MODULES)).encode(),
            "bin/busybox": self.busybox,
            "bin/sagbench": program,
        }
        tree["work/steps"] = steps.encode()
        tree |= {f"work/{name}": text.encode() for name, text in files.items()}
        for module in USB_MODULES:
            tree[f"modules/{module}.ko"] = find_module(self.kernel_folder, module)
        for library in libraries(self.program):
            tree[library.lstrip("/")] = Path(library)
        return tree

    def stripped_program(self):
        """Without what debuggers need: with a sanitizer that is twice the program."""
        stripped = self.folder / "sagbench.stripped"
        subprocess.run(["strip", "-o", stripped, self.program], check=True)
        return stripped


class Machine:
    """A guest that runs."""

    def __init__(self, command, folder):
        self.console, self.monitor = folder / "console", folder / "monitor"
        with self.console.open("wb") as output:
            self.process = subprocess.Popen(
                command, stdin=subprocess.DEVNULL, stdout=output, stderr=subprocess.STDOUT
            )

    def tell(self, *commands):
        """Commands to QEMU's monitor: plugs and unplugs devices."""
        with self.connect() as line:
            for command in commands:
                read_prompt(line)
                line.sendall(command.encode() + b"\n")
            read_prompt(line)

    def connect(self):
        give_up = time.monotonic() + 20
        while True:
            line = socket.socket(socket.AF_UNIX)
            try:
                line.connect(str(self.monitor))
                return line
            except OSError:  # QEMU has not come that far
                line.close()
                if time.monotonic() > give_up:
                    raise
                time.sleep(0.05)

    def finish(self, timeout):
        """Waits for its end; returns the steps by name, and all that it printed."""
        end = ""
        try:
            self.process.wait(timeout)
        except subprocess.TimeoutExpired:
            self.stop()
            end = f"\n(ended after {timeout} s)"
        text = self.console.read_text(errors="replace").replace("\r", "") + end
        return read_steps(text), text

    def stop(self):
        self.process.kill()
        self.process.wait()


def read_prompt(line):
    heard = b""
    while not heard.endswith(b"(qemu) "):
        more = line.recv(4096)
        if not more:
            raise ConnectionError(f"the monitor is gone after {heard!r}")
        heard += more


def find_tool(name, package):
    path = shutil.which(name)
    if path is None:
        raise Unavailable(f"{name} is not here (package {package})")
    return Path(path)


def find_kernel(folder):
    if os.uname().machine != "x86_64":
        raise Unavailable("the guest is for x86-64 only")
    kernels = sorted(folder.glob("boot/vmlinuz-*"))
    if not kernels:
        raise Unavailable(f"no kernel in {folder} (./dev test puts one there)")
    return kernels[-1]


def find_module(folder, name):
    """A module's bytes; b"" for what the kernel has built in."""
    found = [path for path in folder.rglob(f"{name}.ko*")]
    if not found:
        return b""
    data = found[0].read_bytes()
    return lzma.decompress(data) if found[0].suffix == ".xz" else data


def libraries(program):
    """Shared libraries and the loader, by the paths under which the program looks for them."""
    listed = subprocess.run(["ldd", program], capture_output=True, text=True, check=True).stdout
    return re.findall(r"(/\S+) \(0x", listed)


def write_cpio(archive, tree):
    """The "newc" format of the kernel's documentation, driver-api/early-userspace/buffer-format."""
    whole = dict(tree)
    for path in tree:
        for parent in Path(path).parents:
            if str(parent) != ".":
                whole.setdefault(str(parent), None)
    for number, path in enumerate(sorted(whole), start=1):
        content = whole[path]
        mode = stat.S_IFDIR if content is None else stat.S_IFREG
        write_entry(archive, number, path, mode | 0o755, content)
    write_entry(archive, 0, "TRAILER!!!", 0, b"")


def write_entry(archive, number, path, mode, content):
    data = content.read_bytes() if isinstance(content, Path) else content or b""
    name = path.encode() + b"\0"
    fields = (number, mode, 0, 0, 1, 0, len(data), 0, 0, 0, 0, len(name), 0)
    header = b"070701" + b"".join(b"%08X" % field for field in fields) + name
    archive.write(header + bytes(-len(header) % 4) + data + bytes(-len(data) % 4))


def read_steps(console):
    pattern = r"^@@ (\S+) out\n(.*?)\n@@ \1 err\n(.*?)\n@@ \1 exit (\d+)$"
    found = re.findall(pattern, console, re.DOTALL | re.MULTILINE)
    return {name: Step(out, err.strip(), int(code)) for name, out, err, code in found}
