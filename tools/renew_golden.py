"""Renews the record of tests/test_golden.py. To be run when the sound was changed on purpose."""

from __future__ import annotations

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.golden_renders import RECORD, digests, set_id


def main() -> None:
    old = json.loads(RECORD.read_text(encoding="utf-8")) if RECORD.exists() else {}
    new = digests()
    RECORD.write_text(json.dumps(new, indent=2, sort_keys=True) + "\n", encoding="utf-8")
    changed = sorted(name for name in new.keys() | old.keys() if new.get(name) != old.get(name))
    print(f"changed: {', '.join(changed) or 'nothing'}")
    print(f"under Sound in CHANGELOG.md, say what and why, and name it: Golden set {set_id(new)}.")


if __name__ == "__main__":
    main()
