"""A bus company's depot planner (xlsx, xlsxwriter), a hospital trust's estates team (xlsx, openpyxl)."""
import os
from kit import *


def site3(r, lo, hi):
    """A three-phase site, workplace or depot."""
    s = home(r)
    fuse = r.choice([f for f in (63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800) if lo <= f <= hi])
    asc = int(fuse * .69 * r.uniform(.6, .95) // 5 * 5)
    s.update(supply_phases=3, cutout_rating_a=fuse, agreed_capacity_kva=asc, recorded_peak_kva=round(asc * r.uniform(.45, .85), 1))
    s["existing_demand_kw"] = round(s["recorded_peak_kva"] * r.uniform(.9, .97), 1)
    s["fault_level_ka"] = round(r.uniform(4, 18), 1)
    s["metering"] = "HV" if fuse > 600 else "CT" if fuse > 100 else "whole-current"
    s["no"] = r.randint(1, 60)
    return s


TOWNS = {"North": ["Harrabeck", "Garstoe", "Dunsop Quay", "Stallowmere"], "Central": ["Pelldon", "Wexcote Regis", "Oxmarble", "Nether Wickle"],
         "Coast": ["Cray Bassingham", "Fenny Tarrow", "Little Umberley", "Thrupley Parva"]}


def bus(out):
    r = rng("bus")
    nk = ["N/K", "TBC", "", "n/k"]
    met = {"HV": ["HV", "11kV HV"], "CT": ["LV CT", "CT"], "whole-current": ["LV whole current", "Whole current"]}
    how = {"measured": ["Logged", "Measured", "HH data (measured)"], "calculated": ["Calc", "Calculated"], "estimated": ["Est", "Estimate"]}
    dig = {"tarmac": ["Tarmac", "Asphalt"], "concrete": ["Concrete", "Conc slab"], "block": ["Block paving"], "carriageway": ["Public road", "Carriageway"]}
    run = sometimes(r, .15, length("yd", lambda n: n), length("yd", lambda n: f"c. {n}", to=5))
    run = sometimes(r, .06, run, span("parking_distance_m", lambda s: round(s["d"] / 9.144) * 10, lambda s: round(s["d"] / 9.144) * 10 + 20, lambda a, b: f"{a}-{b}", .9144))
    fuse = plain("cutout_rating_a")
    cols = [
        (("Depot", "Code"), lambda s: (s["code"], {"site_id": s["code"]})),
        (("Depot", "Address"), part(lambda s: f"{s['no']} {s['street']}, {s['place']}")),
        (("Depot", "Postcode"), plain("postcode")),
        (("Depot", "Cost ctr"), own(lambda s: r.randint(4100, 4990))),
        (("Electricity supply", "Metered at"), gap(r, .06, nk, words(r, "metering", met))),
        (("Electricity supply", "Phases"), gap(r, .05, nk, plain("supply_phases"))),
        (("Electricity supply", "Main fuse A"), gap(r, .04, nk, fuse)),
        (("Electricity supply", "ASC kVA"), gap(r, .1, nk, plain("agreed_capacity_kva"))),
        (("Electricity supply", "Peak HH kVA (last 12m)"), gap(r, .15, nk, plain("recorded_peak_kva"))),
        (("Electricity supply", "PSCC kA"), gap(r, .25, nk, plain("fault_level_ka"))),
        (("Electricity supply", "Earthing"), gap(r, .15, nk, words(r, "earthing_system", {"TN-S": ["TN-S"], "TN-C-S": ["TN-C-S", "PME"], "TT": ["TT"]}))),
        (("Depot load", "Existing load kW"), gap(r, .05, nk, plain("existing_demand_kw"))),
        (("Depot load", "Basis"), gap(r, .1, [""], words(r, "demand_method", how))),
        (("Depot load", "Heating"), gap(r, .2, nk, words(r, "heating", {"gas": ["Gas"], "oil": ["Oil"], "direct": ["Direct electric"], "heat-pump": ["ASHP"]}))),
        (("Fleet", "Vehicles allocated"), plain("vehicles")),
        (("Fleet", "Avg daily mileage"), gap(r, .08, nk, plain("daily_miles"))),
        (("Fleet", "mi/kWh"), gap(r, .15, nk, plain("miles_per_kwh"))),
        (("Fleet", "Last in"), gap(r, .06, nk, lambda s: (s["t_in"], {"arrive": s["t_in"].strftime("%H:%M")}))),
        (("Fleet", "First out"), gap(r, .06, nk, lambda s: (s["t_out"], {"depart": s["t_out"].strftime("%H:%M")}))),
        (("Fleet", "Driver grade"), own(lambda s: r.choice(["A", "B", "B2"]))),
        (("Yard and chargers", "Parking bays"), gap(r, .06, nk, plain("bays"))),
        (("Yard and chargers", "Cable run to bays (yds)"), gap(r, .05, nk, run)),
        (("Yard and chargers", "Surface to be dug"), gap(r, .08, nk, words(r, "ground_surface", dig))),
        (("Yard and chargers", "Parking under cover?"), gap(r, .06, nk, words(r, "covered_parking", {"yes": ["Y"], "no": ["N"]}))),
        (("Yard and chargers", "EVCPs existing"), gap(r, .06, [""], plain("existing_charge_points"))),
        (("Yard and chargers", "EVCPs req'd"), gap(r, .1, nk, plain("points_wanted"))),
        (("Yard and chargers", "kW each"), gap(r, .05, nk, lambda s: (s["kw"], {"requested_kw": s["kw"]}))),
        (("", "Comments"), lambda s: (lambda n: (n, {"notes": n}))(r.choice(["", "", "", "Lease ends 2029", "Wash plant on same board", "Night shunter on site", "Yard resurfaced 2025"]))),
    ]
    sh = Sheet("bus-depots.xlsx", cols)
    sh.line("Depot electrification - first pass, all regions", look="title")
    sh.line("Draft 3, figures at Period 7. Sub-totals are per region.")
    sh.line()
    sh.groups()
    sh.heads()
    for region, towns in TOWNS.items():
        sh.line(f"{region} region", look="total")
        group = []
        for i in range(12 if region == "Central" else 10):
            s = site3(r, 100, 800)
            place = towns[i % 4]
            small = i % 4 == 3
            s.update(place=place, postcode=postcode(r, place), code=f"{region[0]}{i + 1:02d}{place[:2].upper()}", vehicles=r.randint(6, 90),
                     daily_miles=r.randint(70, 165), miles_per_kwh=round(r.uniform(.7, 1.1), 2), t_in=dt.time(r.choice([18, 19, 20, 21, 22]), r.choice([0, 15, 30, 45])),
                     t_out=dt.time(r.choice([4, 5, 5, 6]), r.choice([0, 10, 20, 35, 50])), d=r.randint(20, 160),
                     ground_surface=pick(r, {"tarmac": 5, "concrete": 5, "block": 1, "carriageway": .5}), covered_parking=pick(r, {"yes": 3, "no": 7}),
                     existing_charge_points=pick(r, {0: 8, 2: 1, 4: 1}), kw=11 if small else 22,
                     heating=pick(r, {"gas": 6, "oil": 2, "direct": 2, "heat-pump": 1}), demand_method=pick(r, {"measured": 6, "calculated": 2, "estimated": 3}))
            s["bays"], s["points_wanted"] = s["vehicles"] + r.randint(0, 12), max(2, s["vehicles"] // 4)
            sh.site(s)
            group.append(s)
        total = [None] * len(cols)
        total[0], total[14], total[20] = f"Sub-total {region}", sum(s["vehicles"] for s in group), sum(s["bays"] for s in group)
        sh.line(*total, look="total")
        sh.line()
    sh.line("Sub-total excludes agency vehicles.")
    xlsxwriter_file(sh, os.path.join(out, sh.name), title="Depots P7")
    return sh


BLOCKS = ["Main Block", "Maternity Wing", "Outpatients", "Pathology", "Boiler House", "Staff Residences A", "Staff Residences B", "Catering",
          "Education Centre", "Multi-storey Car Park", "Day Surgery", "Imaging", "Stores", "Pharmacy", "Mortuary", "Estates Office", "Renal Unit", "Creche"]


def hospital(out):
    r = rng("hospital")
    nk = ["not known", "TBC", "-", "", "no access"]
    board = {"metal": ["Metal", "Metalclad"], "plastic": ["Plastic"], "rewireable": ["Rewireable"]}
    cond = {"sound": ["Sound", "Good"], "doubtful": ["Doubtful"], "unsafe": ["Unsafe"]}
    rep = {"satisfactory": ["Satisfactory", "Sat."], "C3": ["C3", "C3 only"], "C2": ["Unsatisfactory - C2", "C2"], "FI": ["FI"], "C1": ["C1"], "none": ["None done"]}
    yn = lambda f: words(r, f, {"yes": ["Y"], "no": ["N"]})
    how = {"measured": ["Logger", "Measured"], "calculated": ["Calculated"], "estimated": ["Estimated"]}

    def phase(k):
        return lambda s: (s["amps"][k] if s["amps"] else s["no_amps"], {"existing_demand_a": max(a for a in s["amps"] if a)} if s["amps"] else {})
    seg = lambda field: (lambda s: (s[field] if s["split"] else None, {field: s[field]} if s["split"] else {}))
    cols = [
        (("Asset", "Asset no."), lambda s: (s["ref"], {"site_id": s["ref"]})),
        (("Asset", "Building"), part(lambda s: s["block"])),
        (("Asset", "Hospital"), part(lambda s: s["site"])),
        (("Asset", "Postcode"), plain("postcode")),
        (("Asset", "Storeys"), gap(r, .1, [""], plain("storeys"))),
        (("Asset", "Priority (1-3)"), gap(r, .08, [""], plain("priority"))),
        (("Asset", "Last PAT"), own(lambda s: f"Q{r.randint(1, 4)} 2026")),
        (("Supply", "Main fuse A"), gap(r, .05, nk, plain("cutout_rating_a"))),
        (("Supply", "Phases"), gap(r, .05, nk, words(r, "supply_phases", {3: ["TPN", 3, 3, "TP&N"], 1: ["SPN", 1]}))),
        (("Supply", "Sub-main mm²"), gap(r, .15, nk, plain("submain_mm2"))),
        (("Supply", "Sub-main MCCB / fuse A"), gap(r, .15, nk, plain("submain_device_a"))),
        (("Maximum demand (A)", "L1"), phase(0)), (("Maximum demand (A)", "L2"), phase(1)), (("Maximum demand (A)", "L3"), phase(2)),
        (("Maximum demand (A)", "Basis"), gap(r, .08, [""], words(r, "demand_method", how))),
        (("Distribution board", "Board type"), gap(r, .1, nk, words(r, "board_type", board))),
        (("Distribution board", "Condition"), gap(r, .1, nk, words(r, "board_condition", cond))),
        (("Distribution board", "Main switch A"), gap(r, .1, nk, plain("board_main_switch_a"))),
        (("Distribution board", "Spare ways"), gap(r, .08, nk, plain("spare_ways"))),
        (("Distribution board", "SPD fitted"), gap(r, .12, nk, yn("surge_protection"))),
        (("Distribution board", "EICR result"), gap(r, .12, [""], words(r, "condition_report", rep))),
        (("Distribution board", "EICR date"), lambda s: (None, {}) if s["condition_report"] == "none" else (s["condition_report_date"], {"condition_report_date": s["condition_report_date"]})),
        (("Cable route from board to parking (m)", "Total"), gap(r, .05, nk, always(plain("parking_distance_m"), distance_from="board"))),
        (("Cable route from board to parking (m)", "Indoors"), seg("route_indoor_m")),
        (("Cable route from board to parking (m)", "On surface outdoors"), seg("route_surface_m")),
        (("Cable route from board to parking (m)", "Buried"), seg("route_buried_m")),
        (("Parking", "Bays"), gap(r, .05, nk, plain("bays"))),
        (("Parking", "Covered"), gap(r, .05, [""], yn("covered_parking"))),
        (("Parking", "Ground"), gap(r, .1, nk, words(r, "ground_surface", {"soft": ["Grass"], "block": ["Block paving"], "tarmac": ["Tarmac"], "concrete": ["Concrete"], "footway": ["Footway"]}))),
        (("Parking", "Points required"), gap(r, .1, nk, plain("points_wanted"))),
        (("Consents", "Listed"), gap(r, .06, [""], yn("listed"))),
        (("Consents", "Asbestos on route"), gap(r, .25, ["", "not known"], yn("asbestos_on_route"))),
        (("Consents", "Infection control form"), own(lambda s: r.choice(["IC2", "IC3", "", "IC1"]))),
        (("", "Notes"), lambda s: (lambda n: (n, {"notes": n}))(r.choice(["", "", "", "", "Permit to work needed", "Access after 18:00 only", "Generator-backed board", "Panel relabelled 2024"]))),
    ]
    sh = Sheet("hospital-estates.xlsx", cols)
    sh.line("Harrabeck and Stallowmere Hospitals - Estates & Facilities", look="title")
    sh.line("Staff car charging: boards and car parks")
    sh.line("Issue B", None, "Printed 02/11/2026")
    sh.line()
    sh.groups()
    sh.heads()
    k = 0
    for site, place, n in [("Harrabeck General", "Harrabeck", 16), ("Stallowmere Infirmary", "Stallowmere", 13), ("Dunsop Quay Community Hospital", "Dunsop Quay", 9)]:
        code, blocks, bays = postcode(r, place), r.sample(BLOCKS, n), 0
        for block in blocks:
            k += 1
            s = site3(r, 80, 630)
            fuse = s["cutout_rating_a"]
            one = block in ("Estates Office", "Creche", "Mortuary") and r.random() < .6
            device, csa = r.choice([p for p in [(63, 16), (80, 25), (100, 35), (125, 50), (160, 70), (200, 95), (250, 120), (315, 185)] if p[0] <= fuse][-4:])
            top = int(device * r.uniform(.35, .8))
            seg3 = [r.randint(4, 40), r.choice([0, r.randint(3, 25)]), r.randint(5, 60)]
            s.update(ref=f"E{k * 7 + 2003}", block=block, site=site, postcode=code, priority=r.randint(1, 3), supply_phases=3, split=r.random() < .8,
                     submain_mm2=csa, submain_device_a=device, spare_ways=r.randint(0, 8),
                     board_main_switch_a=max(device, r.choice([100, 125, 160])), board_type=pick(r, {"metal": 9, "plastic": .5, "rewireable": .6}),
                     amps=None if r.random() < .06 else [int(top * r.uniform(.7, 1)) for _ in "123"], no_amps=r.choice(["not known", None]),
                     route_indoor_m=seg3[0], route_surface_m=seg3[1], route_buried_m=seg3[2], parking_distance_m=sum(seg3), bays=r.randint(6, 220),
                     covered_parking="yes" if "Multi" in block or r.random() < .1 else "no", storeys=r.choice([1, 2, 3, 3, 4, 5]), points_wanted=r.choice([2, 4, 4, 6, 8, 12, 20]))
            if one:
                s.update(supply_phases=1, cutout_rating_a=100, submain_mm2=25, submain_device_a=80, board_main_switch_a=100)
                s["amps"] = [r.randint(22, 61), None, None]
            sh.site(s)
            bays += s["bays"]
        t = [None] * len(cols)
        t[1], t[25] = f"Total {site}", bays
        sh.line(*t, look="total")
        sh.line()
    openpyxl_file(sh, os.path.join(out, sh.name), title="Boards", freeze="C7")
    return sh


SHEETS = [bus, hospital]
