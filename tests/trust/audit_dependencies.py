"""What is installed with the program: versions, licences, native code; and what advisories say of it.

    python tests/trust/audit_dependencies.py            # the bill, and advisories where they are reached
    python tests/trust/audit_dependencies.py --bill     # the bill only

Walks from the program's own requirements through those of each package, as they are installed here, so that
tools of tests are left out. Libraries in C that a package packs into itself have licences of their own, which
no metadata name: they are not judged here.

Ends with 0 where all is well, 1 where a licence is not known to go with Apache-2.0 or an advisory was found,
2 where advisories were not reached: then nothing is said of them. That they are reached is shown by an old
release of a package, of which an advisory is known: where none comes, none would come for ours.
"""

import json
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement

# May be used beside code under Apache-2.0 that is shipped by itself: permissive, or of weak copyleft that is
# unchanged and a package of its own.
GOES_WITH = re.compile(
    r"\b(MIT|0?BSD|Apache|ISC|PSF|Python Software Foundation|HPND|MPL|Mozilla Public|CC0|Zlib|ZPL)",
    re.IGNORECASE,
)
DOES_NOT = re.compile(r"\bA?GPL|General Public License", re.IGNORECASE)
KNOWN_BAD = "jinja2==2.10"
NATIVE = (".so", ".pyd", ".dylib", ".dll")


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One package as it is installed."""

    name: str
    version: str
    licence: str
    is_native: bool
    why: str

    @property
    def is_known(self) -> bool:
        """Whether its licence is one that goes with ours."""
        return bool(GOES_WITH.search(self.licence)) and not DOES_NOT.search(self.licence)


def licence_of(found: metadata.Distribution) -> str:
    """Give the licence as the package names it: an expression, else classifiers, else the first line."""
    about = found.metadata
    if expression := about.get("License-Expression"):
        return str(expression)
    classes = [
        one.rpartition(" :: ")[2] for one in about.get_all("Classifier") or () if one.startswith("License")
    ]
    lines = str(about.get("License") or "").strip().splitlines()
    return "; ".join(one for one in classes if one != "OSI Approved") or (lines[0] if lines else "not said")


def installed(root: str = "sprayworth", extras: tuple[str, ...] = ("desk",)) -> list[Package]:
    """List what the program needs, and what that needs, with the package that asks first."""
    found: dict[str, Package] = {}
    waiting = [(root, set(extras), "")]
    while waiting:
        name, wanted, why = waiting.pop(0)
        key = re.sub(r"[-_.]+", "-", name).lower()
        try:
            one = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue  # for another system or another Python
        if key in found and not wanted:
            continue
        files = [str(file) for file in one.files or ()]
        native = any(file.endswith(NATIVE) or ".so." in file for file in files)
        if key not in found:
            found[key] = Package(
                name=key, version=one.version, licence=licence_of(one), is_native=native, why=why
            )
        for text in one.requires or ():
            need = Requirement(text)
            environments: list[dict[str, str]] = [{"extra": ""}, *({"extra": extra} for extra in wanted)]
            is_needed = need.marker is None or any(need.marker.evaluate(each) for each in environments)
            if is_needed and re.sub(r"[-_.]+", "-", need.name).lower() not in found:
                waiting.append((need.name, set(need.extras), key))
    return sorted(found.values(), key=lambda each: each.name)


def asked(names: list[str]) -> tuple[list[str], list[str]]:
    """Ask pip-audit for releases written as name==version: advisories found, and releases not looked at."""
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "listed.txt"
        listed.write_text("\n".join([*names, ""]), encoding="utf-8")
        command = ["pip-audit", "--disable-pip", "--no-deps", "--progress-spinner", "off", "--format", "json"]
        done = subprocess.run([*command, "-r", str(listed)], capture_output=True, text=True, check=False)
    try:
        rows = json.loads(done.stdout)["dependencies"]
    except (ValueError, KeyError):
        return [], names
    found = [f"{one['name']} {one['version']}: {each['id']}" for one in rows for each in one.get("vulns", ())]
    return found, [one["name"] for one in rows if "skip_reason" in one]


def advisories(packages: list[Package]) -> tuple[int, str]:
    """Say what advisories there are; 0 none, 1 some, 2 not reached."""
    if shutil.which("pip-audit") is None:
        return 2, "advisories: not reached (pip-audit is not installed: pip install pip-audit)"
    if not asked([KNOWN_BAD])[0]:
        return 2, f"advisories: not reached (none came for {KNOWN_BAD}, which has one)"
    found, skipped = asked([f"{one.name}=={one.version}" for one in packages if one.name != "sprayworth"])
    if skipped:
        return 1 if found else 2, "\n".join([*found, f"advisories: not reached for {', '.join(skipped)}"])
    return (1, "\n".join(found)) if found else (0, "advisories: none for what is installed")


def main(arguments: list[str]) -> int:
    """Print the bill and what advisories say."""
    packages = installed()
    for one in packages:
        native = "native" if one.is_native else "      "
        mark = " " if one.is_known else "!"
        print(f"{mark} {one.name:24} {one.version:16} {native}  {one.licence[:60]:60} {one.why}")
    unknown = [one.name for one in packages if not one.is_known]
    native = sum(one.is_native for one in packages)
    print(f"{len(packages)} packages, {native} with native code")
    print(f"licences to look at: {', '.join(unknown) or 'none'}")
    if "--bill" in arguments:
        return 1 if unknown else 0
    code, told = advisories(packages)
    print(told)
    return 1 if unknown or code == 1 else code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
