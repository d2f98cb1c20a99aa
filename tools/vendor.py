"""Fetches the page's few libraries into the tree: run by a maintainer at an upgrade, never by users or CI.

`npm pack` only downloads; nothing of a package is run. Bare imports become relative ones, so that the page
needs no import map. What was taken, with checksums, stands in `vendor.lock.json` beside the files.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
import subprocess
import tarfile
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "src" / "arsis" / "desk" / "static" / "vendor"
TESTS = ROOT / "tests" / "desk" / "vendor"


@dataclass(frozen=True, slots=True)
class Package:
    """files: name in the package to name in the tree."""

    name: str
    version: str
    folder: Path
    files: dict[str, str]


PACKAGES = (
    Package(
        "preact",
        "11.2.0",
        PAGE,
        {
            "dist/preact.mjs": "preact.js",
            "hooks/dist/hooks.mjs": "preact-hooks.js",
            "LICENSE": "LICENSE.preact",
        },
    ),
    Package(
        "@preact/signals-core",
        "1.14.5",
        PAGE,
        {"dist/signals-core.mjs": "signals-core.js", "LICENSE": "LICENSE.signals-core"},
    ),
    Package("@preact/signals", "2.11.4", PAGE, {"dist/signals.mjs": "signals.js"}),
    Package("htm", "3.1.1", PAGE, {"dist/htm.mjs": "htm.js", "LICENSE": "LICENSE.htm"}),
    Package("axe-core", "4.14.1", TESTS, {"axe.min.js": "axe.min.js", "LICENSE": "LICENSE.axe-core"}),
)
BARE = {
    "preact": "preact.js",
    "preact/hooks": "preact-hooks.js",
    "@preact/signals-core": "signals-core.js",
    "htm": "htm.js",
}


def main() -> None:
    locks: dict[Path, dict[str, object]] = {}
    for package in PACKAGES:
        data, integrity = packed(package)
        taken = take(package, data)
        locks.setdefault(package.folder, {})[package.name] = {
            "version": package.version,
            "integrity": integrity,
            "sha256": taken,
        }
    for folder, lock in locks.items():
        (folder / "vendor.lock.json").write_text(json.dumps(lock, indent=1, sort_keys=True) + "\n")


def packed(package: Package) -> tuple[bytes, str]:
    """The package as the registry gives it, once its checksum fits."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["npm", "pack", f"{package.name}@{package.version}", "--json", "--pack-destination", folder]
        told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        entry = told[0] if isinstance(told, list) else next(iter(told.values()))
        data = next(Path(folder).glob("*.tgz")).read_bytes()
    integrity = "sha512-" + base64.b64encode(hashlib.sha512(data).digest()).decode()
    if integrity != entry["integrity"]:
        raise SystemExit(f"{package.name}: what came is not what the registry says it is")
    return data, integrity


def take(package: Package, data: bytes) -> dict[str, str]:
    """Writes the files that are wanted; gives their SHA-256."""
    package.folder.mkdir(parents=True, exist_ok=True)
    taken = {}
    with tarfile.open(fileobj=io.BytesIO(data)) as archive:
        for source, name in package.files.items():
            member = archive.extractfile(f"package/{source}")
            assert member is not None
            content = member.read()
            if source.endswith(".mjs"):
                content = relative(content.decode()).encode()
            (package.folder / name).write_bytes(content)
            taken[name] = hashlib.sha256(content).hexdigest()
    return taken


def relative(text: str) -> str:
    """A module whose bare imports are relative ones, without its source map."""
    text = re.sub(
        r'(from\s*|import\s*)"([^"./][^"]*)"', lambda found: f'{found[1]}"./{BARE[found[2]]}"', text
    )
    return re.sub(r"\n?//# sourceMappingURL=.*", "", text)


if __name__ == "__main__":
    main()
