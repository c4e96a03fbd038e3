"""Solves the kept charging instances vehicle by vehicle with a general linear-programming library (HiGHS, through SciPy)
and the kept unbalanced loads with a general power-system library, and writes the answers.

    solve.py           writes answers.csv and neutral.csv
    solve.py --check   solves again and compares with the kept answers

It reads instances.csv beside it and knows nothing of the program: only what the words of README.md say. Every vehicle has
a variable of its own in every piece of time and, where it may choose, on every phase.
"""

import csv
import math
import sys
from pathlib import Path

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array

HERE = Path(__file__).resolve().parent
VOLTS = 230.0
COLUMNS = ["instance", "energy_kwh", "largest_share_short", "least_limit_a", "staying", "swapping"]


class Programme:
    """Rows and columns of a linear programme, gathered one at a time."""

    def __init__(self):
        self.cost, self.high = [], []
        self.rows = {"le": ([], [], [], []), "eq": ([], [], [], [])}

    def variable(self, high=None, cost=0.0):
        self.cost.append(cost)
        self.high.append(high)
        return len(self.cost) - 1

    def row(self, kind, terms, right):
        row, column, value, rights = self.rows[kind]
        for variable, factor in terms:
            row.append(len(rights))
            column.append(variable)
            value.append(factor)
        rights.append(right)

    def solve(self):
        if not self.cost:
            self.variable(0.0)
        given = {}
        for kind, (row, column, value, rights) in self.rows.items():
            if rights:
                name = "ub" if kind == "le" else "eq"
                given["A_" + name] = coo_array((value, (row, column)), shape=(len(rights), len(self.cost))).tocsr()
                given["b_" + name] = np.array(rights)
        bounds = [(0.0, high) for high in self.high]
        found = linprog(self.cost, bounds=bounds, method="highs", **given)
        if found.status == 2:
            return None
        assert found.status == 0, found.message
        return found


class Instance:
    def __init__(self, row):
        self.name = row["instance"]
        self.lines = 3 if row["supply_phases"] == "3" else 1
        self.floor = float(row["floor_a"])
        self.limit, self.point = float(row["limit_a"]), float(row["point_a"])
        self.point_phases = int(row["point_phases"])
        self.room = [float(a) for a in row["room_a"].split()]
        self.hours = len(self.room) / 2
        self.groups = []
        for text in row["vehicles"].split(";"):
            count, need, arrive, depart, most, phases = text.split()
            length = float(depart) - float(arrive)
            if length > self.hours:
                length = self.hours
            while length <= 0:
                length += self.hours
            self.groups.append(
                dict(
                    count=int(count),
                    need=float(need),
                    start=float(arrive) % self.hours,
                    length=length,
                    most=float(most),
                    phases=3 if phases == "3" and self.lines == 3 else 1,
                )
            )
        edges = {n / 2 for n in range(len(self.room) + 1)}
        for group in self.groups:
            edges |= {group["start"], (group["start"] + group["length"]) % self.hours}
        edges = sorted(edges)
        self.pieces = [
            (end - start, (start + end) / 2, self.room[int((start + end) / 2 * 2)]) for start, end in zip(edges, edges[1:])
        ]

    def there(self, group, middle):
        return (middle - group["start"]) % self.hours < group["length"]

    def meet(self, one, other):
        return any(self.there(one, middle) and self.there(other, middle) for _, middle, _ in self.pieces)

    def vehicles(self, point=None, point_phases=3):
        """Every vehicle by itself: group, need in ampere-hours a phase, current, phases it draws on."""
        groups = [dict(group) for group in self.groups]
        for group in groups:
            if point is not None:
                group["most"] = min(group["most"], point)
                group["phases"] = group["phases"] if point_phases == 3 else 1
        vehicles, placed = [], []
        for group in groups:
            own = []
            if self.lines == 3 and group["phases"] == 1:
                needed = [0.0, 0.0, 0.0]
                for other, phases in placed:
                    if other["phases"] == 1 and self.meet(group, other):
                        for phase in range(3):
                            needed[phase] += phases.count(phase) * other["need"]
                for _ in range(group["count"]):
                    own.append(needed.index(min(needed)))
                    needed[own[-1]] += group["need"]
            else:
                own = [None] * group["count"]
            placed.append((group, own))
            for phase in own:
                on = list(range(self.lines)) if phase is None else [phase]
                vehicles.append(
                    dict(
                        group=group,
                        need=group["need"] * 1000 / VOLTS / group["phases"],
                        most=group["most"] if group["most"] >= self.floor else 0.0,
                        on=on if group["phases"] == 3 else on[:1],
                        weight=group["phases"],
                    )
                )
        return vehicles

    def usable(self, capacity, vehicles):
        """What taking turns fills of a capacity."""
        if capacity < self.floor:
            return 0.0
        smallest = min((v["most"] for v in vehicles if v["most"] > 0), default=math.inf)
        if smallest >= 2 * self.floor:
            return capacity
        at_once = int(capacity / self.floor + 1e-9)
        return min(capacity, at_once * smallest)


def charge(programme, instance, vehicles, cost=0.0):
    """A variable for every vehicle in every piece in which it is plugged in."""
    drawn = []
    for vehicle in vehicles:
        own = {}
        for number, (hours, middle, _) in enumerate(instance.pieces):
            if instance.there(vehicle["group"], middle):
                own[number] = programme.variable(vehicle["most"] * hours, cost * vehicle["weight"])
        drawn.append(own)
    return drawn


def by_phase(instance, vehicles, drawn):
    """For every piece and phase the variables that draw there."""
    for number, (hours, _, room) in enumerate(instance.pieces):
        for phase in range(instance.lines):
            terms = [(own[number], 1.0) for v, own in zip(vehicles, drawn) if number in own and phase in v["on"]]
            if terms:
                yield hours, room, terms


def most(instance, vehicles, limit, fair=False):
    """Most charge, and the smallest largest share short that goes with it."""
    programme = Programme()
    drawn = charge(programme, instance, vehicles, -1.0)
    for vehicle, own in zip(vehicles, drawn):
        programme.row("le", [(variable, 1.0) for variable in own.values()], vehicle["need"])
    for hours, room, terms in by_phase(instance, vehicles, drawn):
        programme.row("le", terms, hours * instance.usable(min(room, limit), vehicles))
    whole = -programme.solve().fun
    if not fair:
        return whole, None
    weights = list(programme.cost)
    programme.cost = [0.0] * len(weights)
    share = programme.variable(1.0, 1.0)
    for vehicle, own in zip(vehicles, drawn):
        terms = [(variable, -1.0) for variable in own.values()] + [(share, -vehicle["need"])]
        programme.row("le", terms, -vehicle["need"])
    programme.row("le", list(enumerate(weights)), -whole + 1e-6)
    return whole, programme.solve().fun


def needed(vehicles):
    return sum(vehicle["need"] * vehicle["weight"] for vehicle in vehicles)


def serves(instance, vehicles, limit):
    return most(instance, vehicles, limit)[0] >= needed(vehicles) - 1e-5


def least(instance, vehicles):
    """The smallest limit: as a variable, or by halving where taking turns makes steps."""
    highest = max(instance.room)
    if highest < instance.floor or not serves(instance, vehicles, highest):
        return None
    if min((v["most"] for v in vehicles if v["most"] > 0), default=math.inf) < 2 * instance.floor:
        low, high = instance.floor, highest
        if serves(instance, vehicles, low):
            return low
        while high - low > 1e-3:
            middle = (low + high) / 2
            low, high = (low, middle) if serves(instance, vehicles, middle) else (middle, high)
        return high
    programme = Programme()
    drawn = charge(programme, instance, vehicles)
    limit = programme.variable(None, 1.0)
    programme.row("le", [(limit, -1.0)], -instance.floor)
    for vehicle, own in zip(vehicles, drawn):
        programme.row("eq", [(variable, 1.0) for variable in own.values()], vehicle["need"])
    for hours, room, terms in by_phase(instance, vehicles, drawn):
        programme.row("le", terms, hours * (room if room >= instance.floor else 0.0))
        programme.row("le", terms + [(limit, -hours)], 0.0)
    found = programme.solve()
    # The rooms were tried above; the last bit of rounding may still refuse an exact fit.
    return highest if found is None else found.fun


def staying(instance, vehicles):
    if not serves(instance, vehicles, instance.limit):
        return None
    most_all, most_on = 0, [0, 0, 0]
    for _, middle, _ in instance.pieces:
        there = [vehicle for vehicle in vehicles if instance.there(vehicle["group"], middle)]
        most_all = max(most_all, len(there))
        for phase in range(3):
            most_on[phase] = max(most_on[phase], sum(v["on"] == [phase] for v in there))
    return most_all if instance.lines == 1 else max(most_all, sum(most_on))


def swapped(instance, vehicles, points):
    """Whether so many points serve all, whoever is where: hours at points and charge on phases by themselves."""
    programme = Programme()
    served = [[] for _ in vehicles]
    for hours, middle, room in instance.pieces:
        usable = instance.usable(min(room, instance.limit), vehicles)
        on_phase = [[] for _ in range(instance.lines)]
        single_h = [[] for _ in range(instance.lines)]
        all_h = []
        for vehicle, own in zip(vehicles, served):
            if vehicle["most"] <= 0 or not instance.there(vehicle["group"], middle):
                continue
            choices = [list(range(instance.lines))] if vehicle["weight"] == 3 else [[p] for p in range(instance.lines)]
            together = []
            for phases in choices:
                drawn = programme.variable(vehicle["most"] * hours, -vehicle["weight"])
                together.append((drawn, 1.0))
                own.append((drawn, 1.0))
                for phase in phases:
                    on_phase[phase].append((drawn, 1.0))
                if vehicle["weight"] == 1:
                    single_h[phases[0]].append((drawn, 1 / vehicle["most"]))
                all_h.append((drawn, 1 / vehicle["most"]))
            programme.row("le", together, vehicle["most"] * hours)
        for terms in on_phase:
            programme.row("le", terms, usable * hours)
        for phase, terms in enumerate(single_h):
            there = points if instance.lines == 1 else points // 3 + (phase < points % 3)
            programme.row("le", terms, there * hours)
        programme.row("le", all_h, points * hours)
    for vehicle, own in zip(vehicles, served):
        programme.row("le", own, vehicle["need"])
    return -programme.solve().fun >= needed(vehicles) - 1e-5


def swapping(instance, vehicles):
    low, high = 0, len(vehicles) * instance.lines
    if not swapped(instance, vehicles, high):
        return None
    while low + 1 < high:
        middle = (low + high) // 2
        low, high = (low, middle) if swapped(instance, vehicles, middle) else (middle, high)
    return high


def answer(row):
    instance = Instance(row)
    vehicles = instance.vehicles()
    whole, share = most(instance, vehicles, instance.limit, fair=True)
    at_points = instance.vehicles(instance.point, instance.point_phases)

    def told(value):
        return "" if value is None else value

    limit = least(instance, vehicles)
    return {
        "instance": instance.name,
        "energy_kwh": f"{whole * VOLTS / 1000:.5f}",
        "largest_share_short": f"{share:.6f}",
        "least_limit_a": "" if limit is None else f"{limit:.4f}",
        "staying": told(staying(instance, at_points)),
        "swapping": told(swapping(instance, at_points)),
    }


def neutrals():
    """Line currents of a stiff network's asymmetric load, and the current that their sum leaves in the neutral."""
    from power_grid_model import ComponentType, DatasetType, LoadGenType, PowerGridModel, initialize_array

    cases = [(32, 0, 0), (32, 32, 0), (32, 32, 32), (96, 64, 64), (63, 40, 12.5), (100, 85, 3), (7, 13, 16), (0, 20, 55)]
    rows = []
    for factor in (1.0, 0.95):
        for currents in cases:
            node = initialize_array(DatasetType.input, ComponentType.node, 2)
            node["id"], node["u_rated"] = [1, 2], VOLTS * math.sqrt(3)
            line = initialize_array(DatasetType.input, ComponentType.line, 1)
            line["id"], line["from_node"], line["to_node"], line["from_status"], line["to_status"] = 3, 1, 2, 1, 1
            line["r1"] = line["r0"] = 1e-6
            line["x1"] = line["x0"] = line["c1"] = line["c0"] = line["tan1"] = line["tan0"] = 0
            source = initialize_array(DatasetType.input, ComponentType.source, 1)
            source["id"], source["node"], source["status"], source["u_ref"], source["sk"] = 4, 1, 1, 1.0, 1e15
            load = initialize_array(DatasetType.input, ComponentType.asym_load, 1)
            load["id"], load["node"], load["status"], load["type"] = 5, 2, 1, LoadGenType.const_current
            volt_amps = np.array(currents, dtype=float) * VOLTS
            load["p_specified"] = volt_amps * factor
            load["q_specified"] = volt_amps * math.sqrt(1 - factor * factor)
            model = PowerGridModel(
                {
                    ComponentType.node: node,
                    ComponentType.line: line,
                    ComponentType.source: source,
                    ComponentType.asym_load: load,
                }
            )
            result = model.calculate_power_flow(symmetric=False)
            at, own = result[ComponentType.node][0], result[ComponentType.line][0]
            volts = at["u"] * np.exp(1j * at["u_angle"])
            amps = np.conj((own["p_from"] + 1j * own["q_from"]) / volts)
            rows.append(
                {
                    "l1_a": f"{abs(amps[0]):.4f}",
                    "l2_a": f"{abs(amps[1]):.4f}",
                    "l3_a": f"{abs(amps[2]):.4f}",
                    "power_factor": factor,
                    "neutral_a": f"{abs(amps.sum()):.4f}",
                }
            )
    return rows


def differ(kept, own, tolerance):
    if kept == own:
        return False
    try:
        return abs(float(kept) - float(own)) > tolerance
    except ValueError:
        return True


def main():
    check = "--check" in sys.argv[1:]
    with open(HERE / "instances.csv", newline="") as file:
        answers = [answer(row) for row in csv.DictReader(file)]
    tolerances = {"energy_kwh": 1e-3, "largest_share_short": 1e-4, "least_limit_a": 2e-3}
    for name, rows in (("answers.csv", answers), ("neutral.csv", neutrals())):
        if check:
            with open(HERE / name, newline="") as file:
                kept = list(csv.DictReader(file))
            assert len(kept) == len(rows), f"{name}: {len(kept)} kept, {len(rows)} solved"
            for line, (old, new) in enumerate(zip(kept, rows), start=2):
                for column, value in new.items():
                    if differ(old[column], str(value), tolerances.get(column, 1e-3)):
                        sys.exit(f"{name}:{line}: {column} is {old[column]}, solved again it is {value}")
            continue
        with open(HERE / name, "w", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    print(f"{len(answers)} instances {'agree' if check else 'written'}")


main()
