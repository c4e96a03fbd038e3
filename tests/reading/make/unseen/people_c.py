"""A utility-style numbered return with codes (xlsx, xlsxwriter), a consultant's neat template (xlsx, openpyxl)."""
import os
from kit import *
from people_b import site3


def utility(out):
    r = rng("utility")
    nk = ["NK", "NK", ""]
    plain_d = lambda s: (s["d"], {"parking_distance_m": s["d"]})
    code = lambda field, m: words(r, field, {k: [v] for k, v in m.items()})
    cols = [
        (("A  Identification", "A1", "Line reference"), lambda s: (s["ref"], {"site_id": s["ref"]})),
        (("A  Identification", "A2", "UPRN"), gap(r, .1, nk, plain("uprn"))),
        (("A  Identification", "A3", "Premises address"), part(lambda s: s["addr"])),
        (("A  Identification", "A4", "Postcode"), plain("postcode")),
        (("A  Identification", "A5", "Nation"), plain("nation")),
        (("A  Identification", "A6", "Latitude (decimal degrees)"), gap(r, .2, [""], plain("latitude"))),
        (("A  Identification", "A7", "Longitude (decimal degrees)"), lambda s: (None, {}) if s["no_long"] else (s["longitude"], {"longitude": s["longitude"]})),
        (("A  Identification", "A8", "Premises type (H = house, F = flat, B = block, W = workplace, D = depot)"),
         code("premises_type", {"house": "H", "flat": "F", "block": "B", "workplace": "W", "depot": "D"})),
        (("B  Supply", "B1", "MPAN core (13 digits)"), gap(r, .12, nk, lambda s: (s["mpan"] if s["id_style"] else f"{s['mpan'][:2]} {s['mpan'][2:6]} {s['mpan'][6:10]} {s['mpan'][10:]}", {"mpan": s["mpan"]}))),
        (("B  Supply", "B2", "Distributor ID"), gap(r, .08, nk, plain("distributor"))),
        (("B  Supply", "B3", "Metering (WC = whole current, CT, HV)"), gap(r, .08, nk, code("metering", {"whole-current": "WC", "CT": "CT", "HV": "HV"}))),
        (("B  Supply", "B4", "Number of phases"), gap(r, .04, nk, plain("supply_phases"))),
        (("B  Supply", "B5", "Cut-out fuse rating (A)"), gap(r, .05, nk, plain("cutout_rating_a"))),
        (("B  Supply", "B6", "Evidence for B5 (F = fuse, L = label, C = carrier, O = operator record, A = assumed)"),
         gap(r, .1, nk, code("cutout_evidence", {"fuse": "F", "label": "L", "carrier": "C", "operator": "O", "assumed": "A"}))),
        (("B  Supply", "B7", "Looped service (Y / N)"), gap(r, .2, nk, code("looped_service", {"yes": "Y", "no": "N"}))),
        (("B  Supply", "B8", "Earthing system (1 = TN-S, 2 = TN-C-S, 3 = TT)"), gap(r, .1, nk, code("earthing_system", {"TN-S": 1, "TN-C-S": 2, "TT": 3}))),
        (("B  Supply", "B9", "Ze (ohm)"), gap(r, .25, nk, plain("ze_ohm"))),
        (("B  Supply", "B10", "Prospective fault current (kA)"), gap(r, .25, nk, plain("fault_level_ka"))),
        (("B  Supply", "B11", "Agreed import capacity (kVA)"), lambda s: ("", {}) if s["premises_type"] in ("house", "flat") else (s["agreed_capacity_kva"], {"agreed_capacity_kva": s["agreed_capacity_kva"]})),
        (("B  Supply", "B12", "Recorded maximum demand, last 12 months (kVA)"), lambda s: ("", {}) if s["premises_type"] in ("house", "flat") else (s["recorded_peak_kva"], {"recorded_peak_kva": s["recorded_peak_kva"]})),
        (("B  Supply", "B13", "LV feeder ID"), gap(r, .15, nk, plain("feeder_id"))),
        (("C  Load", "C1", "Existing maximum demand (A per phase)"), gap(r, .04, nk, plain("existing_demand_a"))),
        (("C  Load", "C2", "Basis of C1 (M = measured, C = calculated, E = estimated)"), gap(r, .08, nk, code("demand_method", {"measured": "M", "calculated": "C", "estimated": "E"}))),
        (("C  Load", "C3", "Heat pump (kW electrical input)"), gap(r, .12, nk, plain("heat_pump_kw"))),
        (("C  Load", "C4", "Solar generation installed (kW)"), gap(r, .08, nk, plain("solar_kw"))),
        (("C  Load", "C5", "Battery storage (kW)"), gap(r, .08, nk, plain("battery_kw"))),
        (("C  Load", "C6", "Existing charge points (number)"), gap(r, .05, nk, plain("existing_charge_points"))),
        (("D  Proposal", "D1", "Charge points proposed (number)"), gap(r, .04, nk, plain("points_wanted"))),
        (("D  Proposal", "D2", "Charge point rating (kW)"), gap(r, .04, nk, lambda s: (s["kw"], {"requested_kw": s["kw"]}))),
        (("D  Proposal", "D3", "Cable route to parking (m)"), gap(r, .05, nk, plain_d)),
        (("D  Proposal", "D4", "Distance measured from (I = intake, B = board)"), lambda s: ("", {}) if s["nofrom"] else (s["from"][0].upper(), {"distance_from": s["from"]})),
        (("D  Proposal", "D5", "Date of survey"), plain("survey_date")),
        (("D  Proposal", "D6", "Survey method (V = visit, P = photo, T = telephone, O = operator record, D = desk)"),
         code("survey_method", {"visit": "V", "photo": "P", "phone": "T", "operator": "O", "desk": "D"})),
        (("E  Office use", "E1", "Batch"), own(lambda s: f"B{s['batch']}")),
        (("E  Office use", "E2", "Checked"), own(lambda s: r.choice(["Y", "Y", ""]))),
    ]
    sh = Sheet("utility-return.xlsx", cols)
    sh.line("Return 7: premises proposed for charge points", look="title")
    sh.line("Complete one line per premises. Enter NK where a value is not known. Do not alter the headings.")
    sh.groups()
    sh.heads(1)
    sh.heads(2)
    for i in range(44):
        kind = pick(r, {"house": 18, "flat": 6, "block": 4, "workplace": 6, "depot": 2})
        s = home(r) if kind in ("house", "flat") else site3(r, 100, 630)
        place = s["place"]
        nation = {"Harrabeck": "Scotland", "Garstoe": "Scotland", "Dunsop Quay": "Wales"}.get(place, "England")
        dno = r.choice({"Scotland": [17, 18], "Wales": [21], "England": [12, 14, 20, 23]}[nation])
        north, west = {"Scotland": (55.9, -3.6), "Wales": (51.8, -3.9), "England": (51.4 + len(place) * .15, -1.9)}[nation]
        s.update(premises_type=kind, ref=f"7/{i + 1:03d}", uprn=f"{r.randint(10**8, 10**9):012d}", distributor=dno, mpan=mpan(r, dno), id_style=r.random() < .6,
                 nation=nation,
                 latitude=round(north + r.random() * .08, 5), longitude=round(west + r.random() * .1, 5), no_long=False,
                 feeder_id=f"{place[:3].upper()}-{r.randint(1, 4)}{r.choice('ABC')}", existing_charge_points=pick(r, {0: 9, 1: 1}), batch=i // 15 + 1,
                 points_wanted=1 if kind in ("house", "flat") else r.choice([2, 4, 6, 8]), nofrom=r.random() < .1)
        s["from"] = r.choice(["intake", "board"])
        s["kw"] = 7.4 if s["supply_phases"] == 1 or r.random() < .4 else r.choice([11, 22])
        s["addr"] = {"house": f"{s['no']} {s['street']}", "flat": f"Flat {r.randint(1, 9)}, {s['no']} {s['street']}", "block": f"{s['street']} Court",
                     "workplace": f"Unit {r.randint(1, 30)}, {s['street']}", "depot": f"{place} Depot, {s['street']}"}[kind] + f", {place}"
        if kind not in ("house", "flat"):
            s.update(metering="CT" if s["cutout_rating_a"] > 100 else "whole-current", existing_demand_a=int(s["recorded_peak_kva"] / .69), d=r.randint(18, 95),
                     ze_ohm=round(r.uniform(.05, .2), 2), earthing_system=r.choice(["TN-S", "TN-C-S"]), heat_pump_kw=0)
        else:
            s["metering"] = "whole-current"
        sh.site(s)
    sh.line("End of return")
    guide = [["Guidance"], ["Return 7 lists premises where one or more charge points are proposed."], ["Sections A to D are for the person making the return; section E is for office use."],
             ["Where a value is not known enter NK."], ["Codes are given in the headings."]]
    xlsxwriter_file(sh, os.path.join(out, sh.name), title="Return 7", before=[("Guidance", guide)])
    return sh


def consultant(out):
    r = rng("consultant")
    nk = ["TBC", "tbc", "–", ""]
    w = lambda field, **m: words(r, field, m)
    yn = lambda f: words(r, f, {"yes": ["Yes"], "no": ["No"]})
    ov = lambda key, field: (lambda s: (s["ov"][key], {field: s["ov"][key]}) if s["ov"] else (None, {}))
    text = lambda field, options: (lambda s: (lambda v: (v, {field: v}))(r.choice(options)))
    cols = [
        (("Ref", ""), lambda s: (s["ref"], {"site_id": s["ref"]})),
        (("Address\nline 1", ""), part(lambda s: s["line1"])), (("Address\nline 2", ""), part(lambda s: s["street"])), (("Town", ""), part(lambda s: s["place"])),
        (("Postcode", ""), plain("postcode")),
        (("Premises\ntype", ""), words(r, "premises_type", {"house": ["House"], "flat": ["Flat"]})),
        (("Tenure", ""), gap(r, .05, nk, words(r, "tenure", {"social rent": ["Social rent"], "owner": ["Owner"], "leasehold": ["Leasehold"], "shared": ["Shared ownership"], "private rent": ["Private rent"]}))),
        (("Lot", ""), plain("lot")),
        (("Cut-out\nrating", "A"), gap(r, .05, nk, plain("cutout_rating_a"))),
        (("Cut-out\ncondition", ""), gap(r, .08, nk, words(r, "cutout_condition", {"sound": ["Sound"], "doubtful": ["Doubtful"], "unsafe": ["Unsafe"]}))),
        (("Evidence\nof rating", ""), gap(r, .08, nk, words(r, "cutout_evidence", {"fuse": ["Fuse seen"], "label": ["Label"], "carrier": ["Carrier"], "operator": ["Operator record"], "assumed": ["Assumed"]}))),
        (("Service\nlooped", ""), gap(r, .12, nk, yn("looped_service"))),
        (("Meter tails\nCSA", "mm²"), gap(r, .08, nk, plain("tails_mm2"))),
        (("Isolator\npresent", ""), gap(r, .05, nk, yn("isolator_present"))),
        (("Earthing\nsystem", ""), gap(r, .06, nk, words(r, "earthing_system", {"TN-S": ["TN-S"], "TN-C-S": ["TN-C-S", "TN-C-S (PME)"], "TT": ["TT"]}))),
        (("External earth\nloop Ze", "Ω"), gap(r, .12, nk, plain("ze_ohm"))),
        (("Position for\nearth electrode", ""), gap(r, .15, nk, yn("electrode_position"))),
        (("Prospective\nfault current", "kA"), gap(r, .1, nk, plain("fault_level_ka"))),
        (("Main\nbonding", "mm²"), gap(r, .12, nk, plain("main_bonding_mm2"))),
        (("Earthing\nconductor", "mm²"), gap(r, .1, nk, plain("earthing_conductor_mm2"))),
        (("Maximum\ndemand", "A"), gap(r, .04, nk, plain("existing_demand_a"))),
        (("Demand\nmethod", ""), gap(r, .06, nk, words(r, "demand_method", {"measured": ["Measured"], "calculated": ["Calculated"], "estimated": ["Estimated"]}))),
        (("Electric\nshower", "kW"), gap(r, .06, nk, plain("shower_kw"))),
        (("Electric\ncooker", "kW"), gap(r, .06, nk, plain("cooker_kw"))),
        (("Consumer unit\ntype", ""), gap(r, .05, nk, words(r, "board_type", {"metal": ["Metal"], "plastic": ["Plastic"], "rewireable": ["Rewireable"]}))),
        (("Consumer unit\ncondition", ""), gap(r, .05, nk, words(r, "board_condition", {"sound": ["Sound"], "doubtful": ["Doubtful"], "unsafe": ["Unsafe"]}))),
        (("Main switch\nrating", "A"), gap(r, .06, nk, plain("board_main_switch_a"))),
        (("Spare\nways", "No."), gap(r, .06, nk, plain("spare_ways"))),
        (("RCD\ntype", ""), gap(r, .1, nk, words(r, "board_rcd_type", {"AC": ["AC", "Type AC"], "A": ["A", "Type A"], "none": ["None"]}))),
        (("Surge\nprotection", ""), gap(r, .08, nk, yn("surge_protection"))),
        (("Meter to\nconsumer unit", "m"), gap(r, .06, nk, plain("meter_to_board_m"))),
        (("Cable route\nto parking", "m"), gap(r, .04, nk, lambda s: (s["d"], {"parking_distance_m": s["d"]}))),
        (("Route\nmeasured from", ""), gap(r, .08, nk, words(r, "distance_from", {"intake": ["Intake"], "board": ["Consumer unit", "Board"]}))),
        (("Length in\ninsulation", "m"), gap(r, .12, nk, plain("insulated_length_m"))),
        (("Ambient\ntemperature", "°C"), gap(r, .1, nk, plain("ambient_c"))),
        (("Grouped\ncircuits", "No."), gap(r, .1, nk, plain("grouped_circuits"))),
        (("Wall\nconstruction", ""), gap(r, .08, nk, text("walls", ["Brick", "Brick", "Render", "Stone", "Timber"]))),
        (("Vehicle inlet\nposition", ""), gap(r, .15, nk, text("inlet_position", ["Front left", "Rear left", "Rear right", "Front centre"]))),
        (("Parking\norientation", ""), gap(r, .15, nk, text("parking_orientation", ["Nose in", "Reverse in", "Parallel"]))),
        (("Tethered\nlead", ""), gap(r, .05, nk, yn("tethered"))),
        (("Photo\nsheet", ""), own(lambda s: f"PS-{s['lot']}-{r.randint(1, 40):02d}")),
        (("Engineer's override\nof verdict", ""), ov(0, "override_verdict")), (("Override\nby", ""), ov(1, "override_by")),
        (("Override\ndate", ""), ov(2, "override_date")), (("Reason for\noverride", ""), ov(3, "override_why")),
        (("Remarks", ""), lambda s: (lambda n: (n, {"notes": n}))(r.choice(["", "", "", "", "Meter in hall cupboard", "Side gate locked", "Resident prefers left wall", "Awaiting drawings"]))),
    ]
    sh = Sheet("consultant-template.xlsx", cols, indent=1)
    sh.line(indent=False)
    sh.line("Residential charge point programme", look="title")
    sh.line("Schedule 2: survey of premises, revision P03")
    sh.line()
    sh.heads(0)
    sh.heads(1)
    why = {"ready": "Fuse upgraded after survey", "blocked": "Frontage to be sold", "marginal": "Wait for lease plan"}
    for i in range(38):
        s = home(r)
        v = r.choice(list(why))
        s.update(lot=r.choice("AB") if i > 18 else "A", ref=f"S2-{i + 1:03d}", d=min(s["d"], 32), distance_from=r.choice(["intake", "board", "board"]),
                 insulated_length_m=r.choice([0, 0, 0, 1.5, 2, 3]), ambient_c=r.choice([25, 30, 30, 30, 35]), grouped_circuits=r.choice([1, 1, 1, 2, 3]),
                 ov=(v, r.choice(["KP", "RTM"]), dt.date(2026, 10, r.randint(1, 28)), why[v]) if r.random() < .13 else None)
        s["line1"] = f"{s['no']}" if s["premises_type"] == "house" else f"Flat {r.randint(1, 12)}, {r.choice(['Heron', 'Swift', 'Teal'])} House"
        s["line1"] = s["line1"] if " " in s["line1"] else f"{r.choice(['Rose', 'Mill', 'Wren', 'Elm'])} Cottage" if r.random() < .3 else f"No. {s['no']}"
        sh.site(s)
    sh.line()
    sh.line("P03: lots A and B only. Values marked TBC to follow.")
    openpyxl_file(sh, os.path.join(out, sh.name), title="Schedule 2", freeze="C7")
    return sh


SHEETS = [utility, consultant]
