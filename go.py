"""
Set up this checkout once, then run ampwright or its tests. Needs Python 3.11 or newer and nothing else.

    python3.11 go.py [ARGUMENTS]                what `ampwright ARGUMENTS` does; with none, the demo
    python3.11 go.py test [PYTEST ARGUMENTS]    every check of the project

The packages go into .venv beside this file; nothing else on the machine is changed. They are the versions in
requirements/, checked by hash. With GO_NO_UV=1 they are installed by pip alone, which is slower.
"""

import hashlib
import os
import subprocess
import sys
import time
import venv
from pathlib import Path

OLDEST_PYTHON = (3, 11)
HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
COMMANDS = VENV / ("Scripts" if os.name == "nt" else "bin")
SUFFIX = ".exe" if os.name == "nt" else ""
PYTHON = COMMANDS / ("python" + SUFFIX)


def say(text: str) -> None:
    """Report progress on the error stream, so that a result can still be piped."""
    print(text, file=sys.stderr, flush=True)


def requirements(name: str) -> Path:
    """Give the file of pinned packages of that name."""
    return HERE / "requirements" / (name + ".txt")


def stamp(name: str) -> Path:
    """Give the file that remembers which set-up of that name was completed."""
    return VENV / ("ready-" + name)


def fingerprint(name: str) -> str:
    """Condense all that a set-up depends on: pins, project, this place on the disk and the Python it was made with."""
    parts = [requirements(name).read_bytes(), (HERE / "pyproject.toml").read_bytes()]
    parts.append(repr((str(HERE), sys.version_info[:2])).encode())
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def is_ready(name: str) -> bool:
    """Tell whether that set-up was completed and nothing it depends on has changed since."""
    return PYTHON.exists() and stamp(name).exists() and stamp(name).read_text() == fingerprint(name)


def succeeds(*command: object) -> bool:
    """Run a step of the set-up and tell whether it went well."""
    return subprocess.run([str(part) for part in command], cwd=str(HERE), stdin=subprocess.DEVNULL).returncode == 0


def must_run(*command: object) -> None:
    """Run a step of the set-up, and stop here with its own message if it fails."""
    if not succeeds(*command):
        say("Set-up stopped: the step above failed. Mend its cause and start again; no step done is lost.")
        sys.exit(1)


def make_environment() -> None:
    """Make .venv, or make it afresh when its Python is gone or is not of the version we run on."""
    question = "import sys; print(sys.version_info[:2])"
    if PYTHON.exists():
        found = subprocess.run([str(PYTHON), "-c", question], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        if found.stdout.decode().strip() == str(sys.version_info[:2]):
            return
    # Without pip: Debian's python3 has no ensurepip, and the pip outside can install into it.
    venv.create(str(VENV), clear=True, with_pip=False, symlinks=os.name != "nt")


def pip_command() -> tuple:
    """Give the command that installs into .venv by a pip from outside it: that of the Python this one stems from."""
    python = getattr(sys, "_base_executable", sys.executable)
    if subprocess.run([python, "-m", "pip", "--version"], stdout=subprocess.DEVNULL).returncode:
        say("This Python has no pip. On Debian: apt-get install python3-pip. Elsewhere: python3 -m ensurepip")
        sys.exit(1)
    return (python, "-m", "pip", "--python", PYTHON, "install", "--quiet", "--disable-pip-version-check", "--no-input")


def install_command() -> tuple:
    """Give the command that installs into .venv: by uv, which is several times faster, or by pip without it."""
    pip = pip_command()
    if os.environ.get("GO_NO_UV"):
        return pip
    command = [str(part) for part in (*pip, "--require-hashes", "-r", requirements("installer"))]
    if subprocess.run(command, cwd=str(HERE), stdin=subprocess.DEVNULL).returncode:
        say("uv could not be installed; going on with pip, which is slower.")
        return pip
    # Compiled now, as pip does too, so that the first answers do not pay for it.
    return (COMMANDS / ("uv" + SUFFIX), "pip", "install", "--quiet", "--compile-bytecode", "--python", PYTHON)


def set_up(name: str) -> None:
    """Install the pinned packages of that name and the project itself into .venv, unless that is done already."""
    if is_ready(name):
        return
    started = time.monotonic()
    say("Setting up in .venv, once. 1 of 4: environment")
    make_environment()
    say("2 of 4: installer")
    install = install_command()
    say("3 of 4: packages")
    packages = ("--require-hashes", "-r", requirements(name))
    if not succeeds(*install, *packages):
        # uv does not read pip's own settings, such as a shop's package mirror.
        say("That did not work; trying once more by pip alone, which is slower.")
        install = pip_command()
        must_run(*install, *packages)
    say("4 of 4: ampwright")
    must_run(*install, "--no-deps", "--editable", ".")
    must_run(PYTHON, "-m", "compileall", "-q", HERE / "src")
    stamp(name).write_text(fingerprint(name))
    say("Ready after {:.0f} s.".format(time.monotonic() - started))


def main(arguments: list) -> int:
    """Set up what the arguments need, run it, and hand back its exit code."""
    if sys.version_info < OLDEST_PYTHON:
        say("ampwright needs Python 3.11 or newer; this one is {}.{}.".format(*sys.version_info[:2]))
        return 1
    if arguments[:1] == ["test"]:
        set_up("dev")
        command = [PYTHON, HERE / "scripts" / "check", *arguments[1:]]
    else:
        # The developers' packages hold all that users need.
        if not is_ready("dev"):
            set_up("core")
        command = [COMMANDS / ("ampwright" + SUFFIX), *(arguments or ["demo"])]
    try:
        return subprocess.run([str(part) for part in command]).returncode
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
