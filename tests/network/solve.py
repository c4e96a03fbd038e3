"""Solves the kept circuits with a general power-system library and writes its answers.

    solve.py           writes answers.csv
    solve.py --check   solves again and compares with the kept answers, to one part in a million

It reads circuits.csv and sections.csv beside it, and knows nothing of the program or its formulas: only what a section
is made of. README.md says how each answer is a network. `run` beside it makes the environment it needs.
"""

import csv
import hashlib
import math
import sys
from importlib.metadata import version
from pathlib import Path

from power_grid_model import (
    ComponentType,
    DatasetType,
    FaultPhase,
    FaultType,
    LoadGenType,
    PowerGridModel,
    ShortCircuitVoltageScaling,
    initialize_array,
)

HERE = Path(__file__).resolve().parent
INPUTS = ["circuits.csv", "sections.csv"]
ANSWERS = HERE / "answers.csv"
U0 = 230.0
RATED = U0 * math.sqrt(3)
STIFF = 1e-9  # ohm: a source that drops nothing
ONLY_RESISTANCE = 1e12  # R/X of a source with no reactance
COLUMNS = [
    "circuit",
    "drop_v",
    "drop_lagging_v",
    "drop_whole_v",
    "drop_power_v",
    "drop_impedance_v",
    "drop_balanced_v",
    "board_ka",
    "board_angle_ka",
    "board_all_ka",
    "point_ka",
    "point_angle_ka",
    "point_neutral_ka",
    "point_neutral_angle_ka",
    "earth_a",
    "earth_aligned_a",
    "earth_reactive_a",
]


def network(source_ohm, branches):
    """A source and branches in series from node 0. A branch is the impedance of the line and of its return, ohms.

    In sequence terms the line alone is the positive sequence; three equal currents in phase return together, so that
    the zero sequence is the line and three times the return.
    """
    nodes = initialize_array(DatasetType.input, ComponentType.node, len(branches) + 1)
    nodes["id"] = range(len(branches) + 1)
    nodes["u_rated"] = RATED
    source = initialize_array(DatasetType.input, ComponentType.source, 1)
    source["id"], source["node"], source["status"], source["u_ref"] = 1000, 0, 1, 1.0
    source["sk"] = RATED**2 / abs(source_ohm)
    source["rx_ratio"] = source_ohm.real / source_ohm.imag if source_ohm.imag else ONLY_RESISTANCE
    source["z01_ratio"] = 1.0
    lines = initialize_array(DatasetType.input, ComponentType.line, len(branches))
    for index, (line, back) in enumerate(branches):
        zero = line + 3 * back
        row = lines[index : index + 1]
        row["id"], row["from_node"], row["to_node"] = 2000 + index, index, index + 1
        row["from_status"] = row["to_status"] = 1
        row["r1"], row["x1"], row["r0"], row["x0"] = line.real, line.imag, zero.real, zero.imag
        row["c1"] = row["c0"] = row["tan1"] = row["tan0"] = 0.0
        row["i_n"] = 1e4
    return {ComponentType.node: nodes, ComponentType.source: source, ComponentType.line: lines}


def drop_v(branches, currents, kind, angle, phases):
    """Volts lost between line and neutral, origin to end, with these currents a phase in the branches."""
    inputs = network(complex(STIFF, 0), branches)
    loads = initialize_array(DatasetType.input, ComponentType.asym_load, len(branches))
    for index, current in enumerate(currents):
        # What a branch carries and the next does not is taken at the node between them.
        onward = currents[index + 1] if index + 1 < len(currents) else 0.0
        power = U0 * (current - onward)
        row = loads[index : index + 1]
        row["id"], row["node"], row["status"], row["type"] = 3000 + index, index + 1, 1, kind
        share = [power] * 3 if phases == 3 else [power, 0.0, 0.0]
        row["p_specified"] = [[part * math.cos(angle) for part in share]]
        row["q_specified"] = [[part * math.sin(angle) for part in share]]
    inputs[ComponentType.asym_load] = loads
    model = PowerGridModel(inputs)
    result = model.calculate_power_flow(symmetric=False, error_tolerance=1e-12, max_iterations=200)
    volts = result[ComponentType.node]["u"]
    return float(volts[0][0] - volts[-1][0])


def fault_a(source_ohm, branches, to_neutral):
    """Amperes at the end of the branches, at a voltage factor of 1."""
    inputs = network(source_ohm, branches)
    fault = initialize_array(DatasetType.input, ComponentType.fault, 1)
    fault["id"], fault["status"], fault["r_f"], fault["x_f"] = 4000, 1, 0.0, 0.0
    fault["fault_type"] = FaultType.single_phase_to_ground if to_neutral else FaultType.three_phase
    fault["fault_phase"] = FaultPhase.a if to_neutral else FaultPhase.abc

    def solved(node):
        fault["fault_object"] = node
        inputs[ComponentType.fault] = fault
        model = PowerGridModel(inputs)
        result = model.calculate_short_circuit(short_circuit_voltage_scaling=ShortCircuitVoltageScaling.maximum)
        return float(result[ComponentType.fault]["i_f"][0][0])

    # The library multiplies the source by a voltage factor. The network is linear, so the current at the origin, where
    # only the source counts, gives that factor back.
    factor = solved(0) * abs(source_ohm) / U0
    if not math.isclose(factor, 1.10, rel_tol=1e-9):
        sys.exit(f"the library's voltage factor is {factor}, not the 1.10 that it documents")
    return solved(len(branches)) / factor


def answers(circuit, sections):
    """The library's answers for one circuit, by column."""

    def ohms(section, resistance, reactance=None):
        parts = (float(section[name]) if name else 0.0 for name in (resistance, reactance))
        return complex(*parts) * float(section["length_m"]) / 1000.0

    found = {"circuit": circuit["circuit"]}
    three_supply, three_point = circuit["supply_phases"] == "3", circuit["point_phases"] == "3"

    # Voltage drop: one phase loaded, its neutral like its line.
    currents = [float(section["current_a"]) for section in sections]
    table = [(z, z) for z in (ohms(section, "r_mohm", "x_mohm") for section in sections)]
    whole = [(z, z) for z in (ohms(section, "z_mohm") for section in sections)]
    angle = math.acos(float(circuit["power_factor"]))
    path = sum(z * current for (z, _), current in zip(table, currents))
    worst = math.atan2(path.imag, path.real)
    found["drop_v"] = drop_v(table, currents, LoadGenType.const_current, angle, 1)
    found["drop_lagging_v"] = drop_v(table, currents, LoadGenType.const_current, worst, 1)
    found["drop_whole_v"] = drop_v(whole, currents, LoadGenType.const_current, 0.0, 1)
    found["drop_power_v"] = drop_v(table, currents, LoadGenType.const_power, angle, 1)
    found["drop_impedance_v"] = drop_v(table, currents, LoadGenType.const_impedance, angle, 1)
    if three_point:
        balanced = [(z, z) for z in (ohms(section, "r3_mohm", "x3_mohm") for section in sections)]
        found["drop_balanced_v"] = drop_v(balanced, currents, LoadGenType.const_current, angle, 3)

    # Short circuits, conductors cold. As a designer reckons: the source is reactance, the cable resistance, and what
    # lies before a sub-main is left out. By angle: the source is resistance and the cable has its reactance.
    source = U0 / (float(circuit["fault_level_ka"]) * 1000.0)
    cold = [(z, z) for z in (ohms(section, "cold_mohm") for section in sections)]
    reactive = [(z, z) for z in (ohms(section, "cold_mohm", "x_mohm") for section in sections)]

    def levels(name, span, to_neutral):
        found[f"{name}_ka"] = fault_a(complex(0, source), cold[span], to_neutral) / 1000.0
        found[f"{name}_angle_ka"] = fault_a(complex(source, 0), reactive[span], to_neutral) / 1000.0

    whole_path = slice(len(sections))
    parts = [section["part"] for section in sections]
    if "new sub-main" in parts:
        board = parts.index("new sub-main")
        levels("board", slice(board, board + 1), not three_supply)
        found["board_all_ka"] = fault_a(complex(source, 0), reactive[: board + 1], not three_supply) / 1000.0
    if three_point:
        levels("point", whole_path, False)
    levels("point_neutral", whole_path, True)

    # Earth fault, conductors hot: the return is the protective conductor.
    if circuit["ze_ohm"]:
        ze = float(circuit["ze_ohm"])
        earth = [(ohms(section, "hot_mohm"), ohms(section, "earth_mohm", "earth_x_mohm")) for section in sections]
        loop = sum(line + back for line, back in earth)
        found["earth_a"] = fault_a(complex(ze, 0), earth, True)
        found["earth_aligned_a"] = fault_a(ze * loop / abs(loop), earth, True)
        found["earth_reactive_a"] = fault_a(ze * complex(1, 1) / math.sqrt(2), earth, True)
    return found


def texts(name):
    return (HERE / name).read_text(encoding="utf-8").replace("\r\n", "\n")


def rows(text):
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def solve():
    sections = {}
    for section in rows(texts("sections.csv")):
        sections.setdefault(section["circuit"], []).append(section)
    return [answers(circuit, sections[circuit["circuit"]]) for circuit in rows(texts("circuits.csv"))]


def head():
    digest = hashlib.sha256("".join(texts(name) for name in INPUTS).encode("utf-8")).hexdigest()
    return f"# power-grid-model {version('power-grid-model')}; inputs {digest}\n"


def written(solved):
    lines = [head(), ",".join(COLUMNS) + "\n"]
    for answer in solved:
        cells = (answer.get(column, "") for column in COLUMNS)
        lines.append(",".join(cell if isinstance(cell, str) else f"{cell:.9g}" for cell in cells) + "\n")
    return "".join(lines)


def differences(kept, solved):
    """What the kept answers and these do not agree in, as sentences."""
    if texts("answers.csv").splitlines()[0] + "\n" != head():
        yield f"answers.csv begins with {texts('answers.csv').splitlines()[0]!r}, not {head().strip()!r}"
    if [row["circuit"] for row in kept] != [answer["circuit"] for answer in solved]:
        yield "answers.csv has other circuits than circuits.csv"
        return
    for row, answer in zip(kept, solved):
        for column in COLUMNS[1:]:
            before, now = row[column], answer.get(column, "")
            same = before == now if "" in (before, now) else math.isclose(float(before), now, rel_tol=1e-6)
            if not same:
                yield f"{row['circuit']}: {column} is kept as {before or 'blank'} and comes out as {now or 'blank'}"


def main():
    solved = solve()
    if sys.argv[1:] == ["--check"]:
        found = list(differences(rows(texts("answers.csv")), solved))
        for sentence in found[:20]:
            print(sentence)
        if found:
            sys.exit(f"{len(found)} differences: run tests/network/run --renew and look at what changed")
        print(f"{len(solved)} circuits: the library's answers are the kept ones")
    elif not sys.argv[1:]:
        ANSWERS.write_text(written(solved), encoding="utf-8", newline="\n")
        print(f"{len(solved)} circuits solved")
    else:
        sys.exit(__doc__)


if __name__ == "__main__":
    main()
