"""The kept 300-site plans by a mixed-integer solver (HiGHS), from the rules in the README alone.

    solve.py            writes answers.csv
    solve.py --check    the solver's bound and selection agree with the kept ones

The musts and least shares that are kept together are found first, in the order that the README gives.
"""

import csv
import datetime as dt
import math
import sys
from pathlib import Path

import highspy

HERE = Path(__file__).parent
GAP = 1e-4
SECONDS = 20.0


def read():
    plans = {}
    with open(HERE / "instances.csv", newline="") as file:
        for row in csv.DictReader(file):
            plans.setdefault(int(row["plan"]), []).append((row["record"], row["fields"].split(" ")))
    return [Plan(records) for _, records in sorted(plans.items())]


def day(text):
    return dt.date.fromisoformat(text)


class Plan:
    def __init__(self, records):
        of = lambda name: [fields for record, fields in records if record == name]
        carried, usable, later = of("plan")[0]
        self.carried, self.usable, self.later = carried == "true", float(usable), float(later)
        self.periods = [(day(a), day(b), int(c)) for a, b, c in of("period")]
        self.crews = [(int(t), day(a), day(b)) for t, a, b in of("crew")]
        closed = {day(fields[0]) for fields in of("closed")}
        self.shares = [(float(s), {int(t) for t in tasks.split(";")}) for s, tasks in of("share")]
        self.tasks = []
        for worth, cost, points, work, not_before, by, must in of("task"):
            work = [tuple(map(int, one.split(":"))) for one in work.split(";")]
            by = None if by == "-" else day(by)
            self.tasks.append((float(worth), int(cost), int(points), work, day(not_before), by, must == "true"))
        self.days, one = [], self.periods[0][0]
        while one <= self.periods[-1][1]:
            if one.weekday() < 5 and one not in closed:
                self.days.append(one)
            one += dt.timedelta(days=1)

    def quarter(self, date):
        """Quarters of working days before a day."""
        return 4 * sum(one < date for one in self.days)

    def span(self, first, last):
        begin = self.quarter(first)
        return begin, max(begin, self.quarter(last + dt.timedelta(days=1)))


def reach(plan, task):
    """Periods in which a task by itself can be finished: works end to end on the soonest crews."""
    _, _, _, work, not_before, by, _ = task
    free, latest = plan.quarter(not_before), math.inf if by is None else plan.span(by, by)[1]
    if by is not None:
        latest = plan.quarter(by + dt.timedelta(days=1))
    for trade, quarters in work[:-1]:
        ends = [max(free, a) + quarters for a, b in plan.spans[trade] if max(free, a) + quarters <= b]
        if not ends:
            return []
        free = min(ends)
    trade, quarters = work[-1]
    found = []
    for number, (first, last, _) in enumerate(plan.periods):
        begin, end = plan.span(first, last)
        soonest = [max(free, a) + quarters for a, b in plan.spans[trade] if max(free, a, begin + 1 - quarters) + quarters <= min(b, end, latest)]
        if soonest and begin < end:
            found.append(number)
    return found


def rows(plan):
    """Rows as (cap, {(task, period): amount}), money and crews first, then least shares."""
    count = len(plan.periods)
    plan.spans = {t: [plan.span(a, b) for trade, a, b in plan.crews if trade == t] for t in {c[0] for c in plan.crews}}
    could = [reach(plan, task) for task in plan.tasks]
    cells = [(task, period) for task, own in enumerate(could) for period in own]
    within = lambda trade, begin, end: sum(max(0, min(b, end) - max(a, begin)) for a, b in plan.spans[trade])
    hard = []
    for own, (_, _, budget) in enumerate(plan.periods):
        if plan.carried:
            cap = sum(period[2] for period in plan.periods[: own + 1])
            hard.append((cap, {c: plan.tasks[c[0]][1] for c in cells if c[1] <= own}))
        else:
            hard.append((budget, {c: plan.tasks[c[0]][1] for c in cells if c[1] == own}))
    for trade in plan.spans:
        needs = [sum(q for t, q in task[3] if t == trade) for task in plan.tasks]
        ends = [task[3][-1][1] if task[3][-1][0] == trade else 0 for task in plan.tasks]
        for last in range(count):
            begin, end = plan.span(*plan.periods[last][:2])
            for first in range(last + 1):
                day_one = plan.periods[first][0]
                cap = math.floor(plan.usable * within(trade, plan.quarter(day_one), end) + 1e-9)
                counted = lambda c: c[1] <= last and (first == 0 or plan.tasks[c[0]][4] >= day_one)
                hard.append((cap, {c: needs[c[0]] for c in cells if counted(c) and needs[c[0]]}))
            longest = max((ends[c[0]] for c in cells if c[1] == last), default=0)
            if last and longest:
                across = sum(a < begin < b for a, b in plan.spans[trade])
                cap = math.floor(plan.usable * within(trade, begin, end) + 1e-9) + across * (longest - 1)
                hard.append((cap, {c: ends[c[0]] for c in cells if c[1] == last and ends[c[0]]}))
    soft = []
    for share, named in plan.shares:
        soft.append((0, {c: (share - (c[0] in named)) * plan.tasks[c[0]][2] for c in cells}))
    return cells, hard, soft


def solve(cells, rows, musts, worth, gap=0.0):
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("mip_rel_gap", gap)
    model.setOptionValue("mip_abs_gap", 1e-7)
    model.setOptionValue("time_limit", SECONDS)
    model.setOptionValue("threads", 2)
    x = {cell: model.addBinary() for cell in cells}
    of = {}
    for cell in cells:
        of.setdefault(cell[0], []).append(x[cell])
    for task, own in of.items():
        total = sum(own[1:], start=own[0] * 1.0)
        model.addConstr(total == 1 if task in musts else total <= 1)
    for cap, amounts in rows:
        if amounts:
            unit = max(abs(a) for a in amounts.values()) or 1.0
            model.addConstr(sum(x[c] * (a / unit) for c, a in amounts.items()) <= cap / unit)
    model.maximize(sum(x[c] * worth(c) for c in cells))
    info = model.getInfo()
    if info.primal_solution_status != 2:
        return None
    values = model.getSolution().col_value
    taken = {c[0] for c in cells if values[x[c].index] > 0.5}
    return info.objective_function_value, info.mip_dual_bound, taken


def answer(plan):
    cells, hard, soft = rows(plan)
    all_musts = {number for number, task in enumerate(plan.tasks) if task[6]}
    whole = sum(plan.tasks[task][0] for task in all_musts) or 1.0
    of_musts = [c for c in cells if c[0] in all_musts]
    kept = solve(of_musts, [(cap, {c: a for c, a in own.items() if c[0] in all_musts}) for cap, own in hard], set(),
                 lambda c: 1 + 0.5 * plan.tasks[c[0]][0] / whole)[2] if of_musts else set()
    rows_kept, missed = list(hard), []
    for number, row in enumerate(soft):
        if solve(cells, rows_kept + [row], kept, lambda c: 0.0):
            rows_kept.append(row)
        else:
            missed.append(number)
    worth = lambda c: plan.tasks[c[0]][0] * plan.later ** c[1]
    found, bound, _ = solve(cells, rows_kept, kept, worth, GAP)
    return found, bound, sorted(all_musts - kept), missed


def main():
    check = "--check" in sys.argv
    lines = []
    for number, plan in enumerate(read()):
        found, bound, musts, shares = answer(plan)
        joined = lambda own: ";".join(map(str, own))
        lines.append([str(number), f"{found:.6f}", f"{bound:.6f}", joined(musts), joined(shares)])
        print(*lines[-1], flush=True)
    path = HERE / "answers.csv"
    if not check:
        with open(path, "w", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows([["plan", "worth", "bound", "musts_missed", "shares_missed"], *lines])
        return
    with open(path, newline="") as file:
        kept = list(csv.reader(file))[1:]
    assert len(kept) == len(lines), "answers for other plans"
    for old, new in zip(kept, lines):
        assert old[3:] == new[3:], f"plan {old[0]}: musts or shares {new[3:]}, kept {old[3:]}"
        # Each selection must lie under the other's bound; neither search need come to its end.
        assert float(old[1]) <= float(new[2]) * (1 + 1e-6) + 1e-6, f"plan {old[0]}: kept {old[1:3]}, now {new[1:3]}"
        assert float(new[1]) <= float(old[2]) * (1 + 1e-6) + 1e-6, f"plan {old[0]}: kept {old[1:3]}, now {new[1:3]}"
    print(f"{len(lines)} plans solved anew; the kept answers agree")


main()
