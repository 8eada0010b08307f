#!/usr/bin/env python3
"""Writes stdlib/gas/tables_*.drip, the printed capacity tables, from gas_checks.csv beside this file.

A cell is one of four things, and never silently another:
  read      in the csv, from the document itself;
  recalled  in the csv, from memory: a row is listed in `recalled_rows`, a whole table says `per recalled`;
  computed  not in the csv, of a table that follows the explicit equation: its row is listed in `computed_rows`;
  unread    not in the csv, of a table that does not follow it, or of corrugated tubing: `?`.
A computed cell below ten units is `none`, as the printed tables do.

  make_gas_tables.py          writes the files and prints what was found
  make_gas_tables.py --check  writes nothing; exit 1 if a file differs from what would be written
"""

import csv
import math
import pathlib
import re
import sys
from dataclasses import dataclass

HERE = pathlib.Path(__file__).resolve().parent
CHECKS = HERE / "gas_checks.csv"
LIBRARY = HERE.parent.parent / "stdlib" / "gas"

# Which lengths the printed tables have is recalled; the rows in the csv are taken besides.
SHORT = list(range(10, 101, 10)) + [125, 150, 175, 200] + list(range(250, 501, 50))
LONG = SHORT + list(range(550, 1001, 50))
SHIFTED = [length for length in SHORT if length not in (70, 90)]
FLEX_LOW = [5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 150, 200, 250, 300]
FLEX_HIGH = [10, 25, 30, 40, 50, 75, 80, 100, 150, 200, 250, 300, 400, 500]

STEEL = {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610, "2": 2.067,
         "2-1/2": 2.469, "3": 3.068, "4": 4.026}
LARGE_STEEL = STEEL | {"5": 5.047, "6": 6.065, "8": 7.981, "10": 10.020, "12": 11.938}
COPPER = {"1/4": 0.305, "3/8": 0.402, "1/2": 0.527, "5/8": 0.652, "3/4": 0.745, "1": 0.995,
          "1-1/4": 1.245, "1-1/2": 1.481, "2": 1.959}
PE = {"1/2": 0.660, "3/4": 0.860, "1": 1.077, "1-1/4": 1.328, "1-1/2": 1.554, "2": 1.943, "3": 2.864, "4": 3.682}
PE_TUBING = {"1/2": 0.445, "1": 0.927}
CSST = {str(ehd): None for ehd in (13, 15, 18, 19, 23, 25, 30, 31, 37, 39, 46, 48, 60, 62)}

NATURAL, PROPANE = "natural_gas", "propane"
CR = {NATURAL: 0.6094, PROPANE: 1.2462}
Y = {NATURAL: 0.9992, PROPANE: 0.9910}
GRAVITY = {NATURAL: "0.60", PROPANE: "1.50"}
HEATING_VALUE = 2488          # Btu a cubic foot: what the propane tables of steel, copper and PE rest on
AIR = 14.73                   # psia: what the high-pressure tables rest on
INWC_IN_PSI = 27.7

CSV_FUEL = {NATURAL: "natural gas", PROPANE: "undiluted propane"}
CSV_MATERIAL = {"steel": "sch40 steel", "copper_k": "copper type K", "csst": "CSST", "pe": "PE pipe"}
SAID_FUEL = {NATURAL: "Natural gas", PROPANE: "Undiluted propane"}
SAID_MATERIAL = {"steel": "schedule 40 steel", "copper_k": "copper tube with the bore of type K",
                 "csst": "corrugated stainless steel tubing", "pe": "polyethylene pipe",
                 "pe_tubing": "polyethylene tubing of copper-tube size"}

DOUBTED = {
    5: "The rows from 10 to 90 ft go by the square root of the length from the 50 ft row, not by the code's equation; "
       "mostly on the safe side, but at 1/2 in up to 3.6 % above it.",
    7: "The rows go by the square root of the length from the 50 ft row, not by the code's equation; at 1/2 in up to "
       "7.0 % above it; the three smallest cells of the 80 ft row stand about 2 % above the row's own pattern.",
    28: "The row printed 80 ft holds what the equation gives at 70 ft, the row printed 100 ft what it gives at 80 ft: "
        "taken as printed they allow 7.5 % and 12.6 % too much.",
}
DOUBTED_ROWS = {28: [80, 100]}

USE = {
    3: "For a supply of 8.0 in. w.c. or more.",
    4: "For a supply of 11.0 in. w.c. or more.",
    11: "Made with the high-pressure form from 2.0 psi.",
    13: "Between the point of delivery and a house line regulator that serves at most 150 ft3/h.",
    18: "Leaves out what a line regulator loses; not to be used where that is more than 3/4 psi.",
    25: "From the first to the second stage regulator.",
    26: "From the first to the second stage regulator.",
    27: "From a 2 psi service to the line regulator.",
    28: "From the single or second stage regulator to the appliance.",
    29: "From the first to the second stage regulator.",
    30: "From the single or second stage regulator to the appliance.",
    32: "From the single or second stage regulator to the appliance. The column of 37 ehd falls faster than every "
        "other and stands up to 17 % below the natural gas one.",
    33: "From the service to the line regulator; leaves out what the regulator loses, not to be used above 1/2 psi. "
        "The cell of 25 ehd at 80 ft stands 2 % below its own column.",
    35: "From the second stage regulator to the building.",
}


@dataclass(frozen=True)
class Spec:
    """One printed table: what it was made for. Nothing here comes from the csv; the csv is held against it."""
    number: int
    also: str
    material: str
    fuel: str
    inlet: str               # as the csv writes it: "<2 psig", "2.0 psig", "11.0 in wc"
    drop: str                # as the csv writes it: "0.5 in wc", "1.0 psi"
    sizes: dict
    lengths: tuple
    form: str

    @property
    def name(self):
        return f"t402_4_{self.number}"

    @property
    def follows(self):
        return self.material != "csst" and self.number not in DOUBTED


def spec(number, also, material, fuel, inlet, drop, sizes, lengths, form=None):
    if form is None:
        form = "high" if inlet.endswith("psig") and not inlet.startswith("<") else "low"
    return Spec(number, also, material, fuel, inlet, drop, sizes, tuple(lengths), form)


SPECS = [
    spec(1, "6.2(a)", "steel", NATURAL, "<2 psig", "0.3 in wc", LARGE_STEEL, LONG),
    spec(2, "6.2(b)", "steel", NATURAL, "<2 psig", "0.5 in wc", LARGE_STEEL, LONG),
    spec(3, "6.2(c)", "steel", NATURAL, "<2 psig", "3.0 in wc", STEEL, LONG),
    spec(4, "6.2(d)", "steel", NATURAL, "<2 psig", "6.0 in wc", STEEL, LONG),
    spec(5, "6.2(e)", "steel", NATURAL, "2.0 psig", "1.0 psi", STEEL, SHORT),
    spec(6, "6.2(f)", "steel", NATURAL, "3.0 psig", "2.0 psi", STEEL, LONG),
    spec(7, "6.2(g)", "steel", NATURAL, "5.0 psig", "3.5 psi", STEEL, SHORT),
    spec(8, "6.2(h)", "copper_k", NATURAL, "<2 psig", "0.3 in wc", COPPER, SHORT),
    spec(9, "6.2(i)", "copper_k", NATURAL, "<2 psig", "0.5 in wc", COPPER, SHORT),
    spec(10, "6.2(j)", "copper_k", NATURAL, "<2 psig", "1.0 in wc", COPPER, SHORT),
    spec(11, "6.2(k)", "copper_k", NATURAL, "<2 psig", "17.0 in wc", COPPER, SHORT, form="high"),
    spec(12, "6.2(l)", "copper_k", NATURAL, "2.0 psig", "1.0 psi", COPPER, SHORT),
    spec(13, "6.2(m)", "copper_k", NATURAL, "2.0 psig", "1.5 psi", COPPER, SHORT),
    spec(14, "6.2(n)", "copper_k", NATURAL, "5.0 psig", "3.5 psi", COPPER, SHORT),
    spec(15, "6.2(o)", "csst", NATURAL, "<2 psig", "0.5 in wc", CSST, FLEX_LOW),
    spec(16, "6.2(p)", "csst", NATURAL, "<2 psig", "3.0 in wc", CSST, FLEX_LOW),
    spec(17, "6.2(q)", "csst", NATURAL, "<2 psig", "6.0 in wc", CSST, FLEX_LOW),
    spec(18, "6.2(r)", "csst", NATURAL, "2.0 psig", "1.0 psi", CSST, FLEX_HIGH),
    spec(19, "6.2(s)", "csst", NATURAL, "5.0 psig", "3.5 psi", CSST, FLEX_HIGH),
    spec(20, "6.2(t)", "pe", NATURAL, "<2 psig", "0.3 in wc", PE, SHORT),
    spec(21, "6.2(u)", "pe", NATURAL, "<2 psig", "0.5 in wc", PE, SHORT),
    spec(22, "6.2(v)", "pe", NATURAL, "2.0 psig", "1.0 psi", PE, SHORT),
    spec(23, "6.2(w)", "pe_tubing", NATURAL, "<2 psig", "0.3 in wc", PE_TUBING, SHORT),
    spec(24, "6.2(x)", "pe_tubing", NATURAL, "<2 psig", "0.5 in wc", PE_TUBING, SHORT),
    spec(25, "6.3(a)", "steel", PROPANE, "10.0 psig", "1.0 psi", STEEL, LONG),
    spec(26, "6.3(b)", "steel", PROPANE, "10.0 psig", "3.0 psi", STEEL, LONG),
    spec(27, "6.3(c)", "steel", PROPANE, "2.0 psig", "1.0 psi", STEEL, LONG),
    spec(28, "6.3(d)", "steel", PROPANE, "11.0 in wc", "0.5 in wc", STEEL, SHIFTED),
    spec(29, "6.3(e)", "copper_k", PROPANE, "10.0 psig", "1.0 psi", COPPER, SHORT),
    spec(30, "6.3(f)", "copper_k", PROPANE, "11.0 in wc", "0.5 in wc", COPPER, SHORT),
    spec(31, "6.3(g)", "copper_k", PROPANE, "2.0 psig", "1.0 psi", COPPER, SHORT),
    spec(32, "6.3(h)", "csst", PROPANE, "11.0 in wc", "0.5 in wc", CSST, FLEX_LOW),
    spec(33, "6.3(i)", "csst", PROPANE, "2.0 psig", "1.0 psi", CSST, FLEX_HIGH),
    spec(34, "6.3(j)", "csst", PROPANE, "5.0 psig", "3.5 psi", CSST, FLEX_HIGH),
    spec(35, "6.3(k)", "pe", PROPANE, "11.0 in wc", "0.5 in wc", PE, SHORT),
    spec(36, "6.3(l)", "pe", PROPANE, "2.0 psig", "1.0 psi", PE, SHORT),
    spec(37, "6.3(m)", "pe_tubing", PROPANE, "11.0 in wc", "0.5 in wc", PE_TUBING, SHORT),
]
ALSO_SEEN = {2, 3, 4, 5, 6}       # the others of these letters are inferred from the fixed order
ALSO_RESIDENTIAL = {32: "IRC 2018 table G2413.4(16)", 33: "IRC 2018 table G2413.4(17)"}
FILES = {"tables_steel.drip": ("steel",), "tables_copper.drip": ("copper_k",),
         "tables_csst.drip": ("csst",), "tables_pe.drip": ("pe", "pe_tubing")}


@dataclass(frozen=True)
class Cell:
    value: int | None         # None: `none` if computed, `?` if unread
    basis: str                # read, recalled, computed, unread


class Wrong(Exception):
    """The csv does not say what this script rests on."""


def amount(text, unit):
    if not text.endswith(unit):
        raise Wrong(f"{text!r} is not in {unit}")
    return float(text[: -len(unit)].lstrip("<").strip())


def in_psi(text):
    return amount(text, "in wc") / INWC_IN_PSI if text.endswith("in wc") else amount(text.replace("psig", "psi"), "psi")


def equation(table, bore, length):
    """Capacity by the explicit form, in the unit of the table's cells, not rounded."""
    cr = CR[table.fuel]
    if table.form == "low":
        flow = 2313 * bore ** 2.623 * (in_psi(table.drop) * INWC_IN_PSI / (cr * length)) ** 0.541
    else:
        before = AIR + in_psi(table.inlet)
        after = before - in_psi(table.drop)
        flow = 2237 * bore ** 2.623 * ((before ** 2 - after ** 2) * Y[table.fuel] / (cr * length)) ** 0.541
    return flow * HEATING_VALUE / 1000 if table.fuel == PROPANE else flow


def printed(value):
    """To three significant digits, whole numbers below a hundred: as the tables print."""
    step = 10 ** max(0, math.floor(math.log10(value)) - 2)
    return int(math.floor(value / step + 0.5)) * step


def size_of(table, nominal):
    """The csv's name of a size as a key of `sizes`: `EHD 13` is 13, `1/2 SDR9.33` is 1/2."""
    size = nominal.removeprefix("EHD ") if table.material == "csst" else nominal.split(" ")[0]
    if size not in table.sizes:
        raise Wrong(f"{table.name}: no size {nominal!r}")
    return size


def held_against(table, row):
    """One csv row against the table's description; its cell."""
    where = f"{table.name}, {row['check_id']}"
    expected = {"fuel": CSV_FUEL[table.fuel], "material": CSV_MATERIAL[table.material], "inlet_pressure": table.inlet,
                "drop": table.drop, "sg": GRAVITY[table.fuel],
                "published_unit": "MBH" if table.fuel == PROPANE else "cfh"}
    for column, value in expected.items():
        if row[column] != value:
            raise Wrong(f"{where}: {column} is {row[column]!r}, not {value!r}")
    if f"NFPA 54 {table.also}" not in row["table"]:
        raise Wrong(f"{where}: {row['table']!r} is not {table.also}")
    if not row["published_capacity"].isdigit():
        raise Wrong(f"{where}: {row['published_capacity']!r} is not a whole number")
    size = size_of(table, row["nominal_size"])
    bore = table.sizes[size]
    if bore is not None:
        if abs(float(row["inside_diameter_in"]) - bore) > 1e-9:
            raise Wrong(f"{where}: bore {row['inside_diameter_in']}, not {bore}")
        own = equation(table, bore, float(row["length_ft"]))
        if abs(own - float(row["recomputed"])) > 0.051 + 1e-4 * own:
            raise Wrong(f"{where}: recomputed as {row['recomputed']}, here {own:.2f}")
    if row["confidence"] not in ("source", "memory-high", "memory-medium"):
        raise Wrong(f"{where}: confidence {row['confidence']!r}")
    return Cell(int(row["published_capacity"]), "read" if row["confidence"] == "source" else "recalled")


def read_checks():
    """{table number: (edition, {(length, size): Cell})} of every capacity table in the csv."""
    by_number = {table.number: table for table in SPECS}
    found = {}
    with CHECKS.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            match = re.match(r"402\.4\((\d+)\)", row["table"])
            if not match:
                continue
            table = by_number[int(match[1])]
            edition, cells = found.setdefault(table.number, (row["edition"], {}))
            if row["edition"] != edition:
                raise Wrong(f"{table.name}: two editions")
            key = (int(row["length_ft"]), size_of(table, row["nominal_size"]))
            if key in cells:
                raise Wrong(f"{table.name}: {key} twice")
            cells[key] = held_against(table, row)
    return found


def missing(table, length, size):
    if not table.follows:
        return Cell(None, "unread")
    value = equation(table, table.sizes[size], length)
    return Cell(printed(value) if value >= 10 else None, "computed")


def grid(table, given):
    """{length: {size: Cell}}, lengths rising, sizes in the table's order."""
    lengths = sorted(set(table.lengths) | {length for length, _ in given})
    return {length: {size: given.get((length, size)) or missing(table, length, size) for size in table.sizes}
            for length in lengths}


def rows_of(rows, basis, table):
    """Lengths of the rows that hold cells of this basis; a row holds one basis beside unread cells."""
    chosen = []
    for length, cells in rows.items():
        bases = {cell.basis for cell in cells.values()} - {"unread"}
        if len(bases) > 1:
            raise Wrong(f"{table.name}: the row of {length} ft is of mixed bases {sorted(bases)}")
        if bases == {basis}:
            chosen.append(length)
    return chosen


def plain(text):
    """`<2 psig` as `2 psi`, `0.5 in wc` as `0.5 inwc`."""
    unit = "inwc" if text.endswith("in wc") else "psi"
    number = amount(text, "in wc" if unit == "inwc" else ("psig" if text.endswith("psig") else "psi"))
    return f"{number:g} {unit}"


def said(table):
    drop = plain(table.drop).replace("inwc", "in. w.c.")
    inlet = plain(table.inlet).replace("inwc", "in. w.c.")
    inlet = f"below {inlet}" if table.inlet.startswith("<") else f"from {inlet}"
    return f"{SAID_FUEL[table.fuel]}, {SAID_MATERIAL[table.material]}, {inlet}, {drop} drop."


def list_field(name, lengths):
    """A field with a list of lengths, at most twelve a line."""
    words = [f"{length} ft" for length in lengths]
    lines = [", ".join(words[i:i + 12]) for i in range(0, len(words), 12)]
    return f"  {name:<14}[" + (",\n" + " " * 17).join(lines) + "]"


def basis_line(table, edition, rows):
    bases = {cell.basis for cells in rows.values() for cell in cells.values()}
    document = "ifgc_2015" if edition == "2015" else "ifgc_2018"
    word = "" if "read" in bases else "recalled " if "recalled" in bases or "unread" in bases else "computed "
    return f'  per {word}{document} "table 402.4({table.number})"'


def cells_block(table, rows):
    head = ["length"] + [f"{size} {'ehd' if table.material == 'csst' else 'in'}" for size in table.sizes]
    lines = [head]
    for length, cells in rows.items():
        words = [f"{length} ft"]
        for cell in cells.values():
            words.append(str(cell.value) if cell.value is not None else "?" if cell.basis == "unread" else "none")
        lines.append(words)
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]
    body = ["    " + "  ".join(word.ljust(width) for word, width in zip(line, widths)).rstrip() for line in lines]
    unit = "1000 Btu/h" if table.fuel == PROPANE else "1 ft3/h"
    field = "heat_cells" if table.fuel == PROPANE else "cells"
    return [f"  {field} {{", f"    {'cells'.ljust(widths[0])}  {unit}", *body, "  }"]


def drip(table, edition, rows):
    """The table as a thing of the library."""
    lines = [f"gas_table {table.name} {{", f'  "{said(table)}"']
    if table.number in USE:
        lines.append(f'  "{USE[table.number]}"')
    lines.append(basis_line(table, edition, rows))
    letter = f"NFPA 54 table {table.also}" + ("" if table.number in ALSO_SEEN else ", letter recalled")
    if table.number in ALSO_RESIDENTIAL:
        letter += f"; {ALSO_RESIDENTIAL[table.number]}"
    lines.append(f'  {"also_as":<14}"{letter}"')
    fields = {"material": table.material, "fuel": table.fuel, "form": table.form, "inlet": plain(table.inlet),
              "drop": plain(table.drop), "gravity": GRAVITY[table.fuel]}
    if table.fuel == PROPANE:
        fields["made_for_input"] = "yes"
    lines += [f"  {name:<14}{' ' if len(name) > 13 else ''}{value}" for name, value in fields.items()]
    unit = "ehd" if table.material == "csst" else "in"
    lines.append(f'  {"reaches":<14}{max(rows)} ft')
    lines.append(f'  {"sizes":<14}[{", ".join(f"{size} {unit}" for size in table.sizes)}]')
    if table.number in DOUBTED:
        lines.append(f'  {"doubted":<14}"{DOUBTED[table.number]}"')
    if table.number in DOUBTED_ROWS:
        lines.append(list_field("doubted_rows", DOUBTED_ROWS[table.number]))
    recalled, computed = rows_of(rows, "recalled", table), rows_of(rows, "computed", table)
    if recalled and rows_of(rows, "read", table):
        lines.append(list_field("recalled_rows", recalled))
    if computed:
        lines.append(list_field("computed_rows", computed))
    unread = [length for length, cells in rows.items() if any(cell.basis == "unread" for cell in cells.values())]
    if unread:
        lines.append(list_field("unread_rows", unread))
        lines.append(list_field("whole_rows", [length for length in rows if length not in unread]))
    return "\n".join([*lines, *cells_block(table, rows), "}"]) + "\n"


HEADER = """# Written by tests/facts/make_gas_tables.py from tests/facts/gas_checks.csv; change those, not this file.
# A row in computed_rows was worked out by the explicit equation (14.73 psia; propane 2488 Btu/ft3), three digits, not
# read in print; a row in recalled_rows is from memory; a cell ? is printed but has not been read; none is printed NA.

"""


def report(tables):
    """One line a table: which cells were in the csv, which were not and what became of them."""
    print("table        cells  read  recalled  computed  unread  in the csv")
    total = {"read": 0, "recalled": 0, "computed": 0, "unread": 0}
    for table, _, rows in tables:
        counts = dict.fromkeys(total, 0)
        for cells in rows.values():
            for cell in cells.values():
                counts[cell.basis] += 1
        for basis, count in counts.items():
            total[basis] += count
        present = counts["read"] + counts["recalled"]
        state = "no cell" if present == 0 else "all" if present == sum(counts.values()) else f"{present} cells"
        print(f"402.4({table.number})".ljust(12), f"{sum(counts.values()):5} {counts['read']:5} {counts['recalled']:9}"
              f" {counts['computed']:9} {counts['unread']:7}  {state}")
    print("together".ljust(12), f"{sum(total.values()):5} {total['read']:5} {total['recalled']:9}"
          f" {total['computed']:9} {total['unread']:7}")


def main(arguments):
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    try:
        found = read_checks()
        tables = []
        for table in SPECS:
            edition, given = found.get(table.number, ("2018", {}))
            tables.append((table, edition, grid(table, given)))
        texts = {name: HEADER + "\n".join(drip(*entry) for entry in tables if entry[0].material in materials)
                 for name, materials in FILES.items()}
    except Wrong as wrong:
        print(f"wrong: {wrong}", file=sys.stderr)
        return 1
    report(tables)
    different = 0
    for name, text in texts.items():
        path = LIBRARY / name
        if arguments:
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                print(f"{name} differs from what gas_checks.csv gives", file=sys.stderr)
                different = 1
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
    return different


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
