"""Writing the expected tables of this folder: one way of saying who made a table, and of rounding."""

import csv
import importlib.metadata
import io
import os
from pathlib import Path

HERE = Path(__file__).resolve().parent


def libraries(*names):
    """The versions that stand in a table's head."""
    return ", ".join(f"{name} {importlib.metadata.version(name)}" for name in names)


def text(number, digits):
    """A number as it stands in a table; nothing for what is absent or no number."""
    if number is None or number != number:
        return ""
    rounded = round(float(number), digits)
    return f"{rounded + 0.0:.{digits}f}" if digits > 0 else str(int(rounded))


def table(name, maker, made_with, about, columns, rows):
    """One table as (file name, its text)."""
    out = io.StringIO()
    out.write(f"# Made by {maker} with {made_with}.\n")
    for line in about:
        out.write(f"# {line}\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return name, out.getvalue()


def data(name):
    """A file of the data folder that PROPSTICK_DATA names."""
    folder = os.environ.get("PROPSTICK_DATA")
    if folder is None:
        raise SystemExit("PROPSTICK_DATA must name the data folder")
    return Path(folder) / name


def data_rows(name):
    """The rows of a plain CSV file of the data folder, as dictionaries."""
    with open(data(name), newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))
