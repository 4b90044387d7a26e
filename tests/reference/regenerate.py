"""Makes every expected table anew and compares it with the one kept, or writes it with --write.

A last digit may differ between machines: numbers count as equal within two units of their last place.
"""

import importlib
import sys

from table import HERE

MAKERS = sorted(path.stem for path in HERE.glob("make_*.py"))


def same(kept, made):
    """Whether two texts agree, numbers within two units of their last place."""
    kept_lines, made_lines = kept.splitlines(), made.splitlines()
    if len(kept_lines) != len(made_lines):
        return False
    return all(a == b or same_line(a, b) for a, b in zip(kept_lines, made_lines))


def same_line(kept, made):
    kept_fields, made_fields = kept.split(","), made.split(",")
    if kept.startswith("#") or len(kept_fields) != len(made_fields):
        return False
    return all(a == b or same_number(a, b) for a, b in zip(kept_fields, made_fields))


def same_number(kept, made):
    try:
        difference = abs(float(kept) - float(made))
    except ValueError:
        return False
    digits = len(kept.partition(".")[2])
    if digits != len(made.partition(".")[2]):
        return False
    return difference <= 2.001 * 10.0 ** -digits


def main():
    write = "--write" in sys.argv[1:]
    differing = 0
    for maker in MAKERS:
        for name, made in importlib.import_module(maker).tables():
            path = HERE / name
            kept = path.read_text(encoding="utf-8") if path.exists() else ""
            if same(kept, made):
                print(f"{name}: as kept")
            elif write:
                path.write_text(made, encoding="utf-8")
                print(f"{name}: written, {len(made.splitlines())} lines")
            else:
                differing += 1
                print(f"{name}: DIFFERS from the one kept")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main())
