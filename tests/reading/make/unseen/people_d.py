"""An installer's estimator in a hurry (csv cp1252), a database export (UTF-16 tabs), a holiday-park owner (xlsx)."""
import os
from kit import *


def installer(out):
    r = rng("installer")
    nk = ["", "", "?", "n/k", "tbc", "-"]
    yn = lambda f: words(r, f, {"yes": ["y", "Y", "yes"], "no": ["n", "N", "no"]})
    ph = lambda s: r.choice([f"{s['supply_phases']}ph {s['cutout_rating_a']}A", f"{s['supply_phases']}ph {s['cutout_rating_a']}A", f"{s['supply_phases']}ph/{s['cutout_rating_a']}"])
    sup = lambda s: (ph(s), {"supply_phases": s["supply_phases"], "cutout_rating_a": s["cutout_rating_a"]})
    doubt = lambda s: (f"{s['supply_phases']}ph {s['cutout_rating_a']}A?", {"supply_phases": s["supply_phases"], "cutout_rating_a": s["cutout_rating_a"]})
    sp = {"TN-S": ["TNS", "TN-S"], "TN-C-S": ["PME", "TNCS", "TN-C-S"], "TT": ["TT"]}
    ea = sometimes(r, .35, words(r, "earthing_system", sp), lambda s: (f"{r.choice(sp[s['earthing_system']])} {num(s['ze_ohm'])}", {"earthing_system": s["earthing_system"], "ze_ohm": s["ze_ohm"]}))
    run = lambda s: (r.choice([f"{s['d']}", f"{s['d']}", f"{s['d']}m", f"~{s['d']}", f"{s['d']} mtrs"]), {"parking_distance_m": s["d"]})
    run = sometimes(r, .07, run, span("parking_distance_m", lambda s: s["d"] - 1, lambda s: s["d"] + 3, lambda a, b: f"{a}-{b}m"))
    seg = lambda k: (lambda s: (s["seg"][k], {["route_indoor_m", "route_surface_m", "route_buried_m"][k]: s["seg"][k]}) if s["seg"] else ("", {}))
    pk = {"driveway": ["drive", "drv"], "garage": ["garage", "gge"], "allocated": ["alloc bay", "alloc"], "communal": ["communal", "comm CP"], "on-street": ["on st", "street"], "none": ["none"]}
    cols = [
        ("Job", lambda s: (s["ref"], {"site_id": s["ref"]})),
        ("Addr", part(lambda s: s["addr"])), ("P/code", plain("postcode")),
        ("Prop", words(r, "premises_type", {"house": ["hse", "house"], "flat": ["flat", "flt"]})),
        ("Supply ph/fuse", gap(r, .05, nk, sometimes(r, .07, sup, doubt))),
        ("Cut-out evid.", gap(r, .12, nk, words(r, "cutout_evidence", {"fuse": ["fuse", "fuse seen"], "label": ["label", "lbl"], "carrier": ["carrier"], "operator": ["DNO rec", "DNO"], "assumed": ["assumed", "ass'd"]}))),
        ("Cut-out cond.", gap(r, .15, nk, words(r, "cutout_condition", {"sound": ["ok", "good", "ok"], "doubtful": ["doubtful"], "unsafe": ["unsafe", "dangerous"]}))),
        ("Looped?", gap(r, .2, nk, yn("looped_service"))),
        ("Tails", gap(r, .1, nk, plain("tails_mm2", lambda v: r.choice([f"{v}", f"{v}mm", f"{v}mm²"])))),
        ("Isol?", gap(r, .1, nk, yn("isolator_present"))),
        ("Earthing/Ze", gap(r, .1, nk, ea)),
        ("PFC kA", gap(r, .25, nk, plain("fault_level_ka"))),
        ("Max dem (A)", gap(r, .05, nk, plain("existing_demand_a", lambda v: r.choice([f"{v}", f"{v}", f"{v}A", f"~{v}"])))),
        ("MD how", gap(r, .1, nk, words(r, "demand_method", {"measured": ["meas", "clamped/measured"], "calculated": ["calc"], "estimated": ["est", "est."]}))),
        ("Shower", gap(r, .12, nk, plain("shower_kw", lambda v: r.choice([f"{num(v)}kW", f"{num(v)}"])))),
        ("CU", gap(r, .08, nk, words(r, "board_type", {"metal": ["metal", "mtl"], "plastic": ["plastic", "plas"], "rewireable": ["rewireable", "rewirable"]}))),
        ("Sp. ways", gap(r, .08, nk, plain("spare_ways"))),
        ("RCD", gap(r, .15, nk, words(r, "board_rcd_type", {"AC": ["AC", "type AC"], "A": ["A", "type A"], "none": ["none"]}))),
        ("SPD", gap(r, .12, nk, yn("surge_protection"))),
        ("Run (m)", gap(r, .04, nk, run)), ("int.", seg(0)), ("clipped ext.", seg(1)), ("trench", seg(2)),
        ("Surf.", gap(r, .1, nk, words(r, "ground_surface", {"soft": ["grass", "soft"], "block": ["block pvg", "blocks"], "tarmac": ["tarmac", "tmac"], "concrete": ["conc", "concrete"], "footway": ["footway"]}))),
        ("Pkg", gap(r, .05, nk, words(r, "parking_type", pk))),
        ("CP kW", gap(r, .05, nk, lambda s: (s["kw"], {"requested_kw": s["kwt"]}))),
        ("Teth?", gap(r, .08, nk, yn("tethered"))),
        ("Qte £", own(lambda s: f"£{r.randint(780, 1900)}")), ("Hrs", own(lambda s: r.choice([5, 6, 6, 7, 8, 9.5]))),
        ("Rmks", lambda s: (lambda n: (n, {"notes": n}))(r.choice(["", "", "", "", "nice easy one", "2 man lift", "loft is boarded", "cust wants black unit", "scaff on side wall", "ring first"]))),
    ]
    sh = Sheet("quick-quotes.csv", cols)
    sh.heads()
    for i in range(46):
        s = home(r)
        flat = f"Flat {r.randint(1, 9)}, " if s["premises_type"] == "flat" else ""
        if s["parking_type"] == "none":
            s["parking_type"] = "on-street"
        d, a = s["d"], r.randint(1, 4)
        b = r.randint(0, (d - a) // 2)
        s.update(ref=f"Q{2600 + i * 3}", addr=f"{flat}{s['no']} {s['street']}, {s['place']}", seg=(a, b, d - a - b) if r.random() < .75 else None)
        s["kw"], s["kwt"] = r.choice([("7", "7"), ("7.4", "7.4"), ("7kW", "7"), ("7.4kW", "7.4"), ("3.6", "3.6")]) if s["supply_phases"] == 1 else r.choice([("22", "22"), ("22kW", "22"), ("11", "11")])
        if r.random() < .1 and s["supply_phases"] == 1:
            s["kw"], s["kwt"] = "32A", "7.4"
        sh.site(s)
    csv_file(sh, os.path.join(out, sh.name), encoding="cp1252")
    return sh


def export(out):
    r = rng("export")
    code = lambda field, m: words(r, field, {k: [v] for k, v in m.items()})
    null = ["NULL"]
    flag = lambda f: code(f, {"yes": "Y", "no": "N"})
    watts = lambda field: (lambda s: (int(s[field] * 1000), {field: s[field]}))
    cols = [
        ("prop_ref", lambda s: (s["ref"], {"site_id": s["ref"]})), ("uprn", gap(r, .06, null, plain("uprn"))),
        ("addr_line_1", part(lambda s: s["line1"])), ("addr_line_2", part(lambda s: s["street"])), ("addr_town", part(lambda s: s["place"])),
        ("post_code", plain("postcode")), ("estate_mgr_cd", own(lambda s: f"EM{r.randint(1, 6):02d}")),
        ("prop_type_cd", code("premises_type", {"house": "HSE", "flat": "FLT"})),
        ("tenure_cd", gap(r, .04, null, code("tenure", {"social rent": "SOC_RENT", "owner": "OWN_OCC", "leasehold": "LEASE", "shared": "SHARED_OWN", "private rent": "PRIV_RENT"}))),
        ("bedroom_cnt", gap(r, .04, null, plain("bedrooms"))), ("year_built", gap(r, .08, null, plain("year_built"))),
        ("heat_type_cd", gap(r, .06, null, code("heating", {"gas": "GAS", "oil": "OIL", "storage": "NIGHT_STORE", "direct": "ELEC_DIRECT", "heat-pump": "ASHP", "communal": "COMMUNAL", "other": "OTHER"}))),
        ("mpan_core", gap(r, .12, null, plain("mpan"))), ("phase_cnt", gap(r, .06, null, plain("supply_phases"))),
        ("cutout_fuse_amp", gap(r, .05, null, plain("cutout_rating_a"))),
        ("fuse_evid_cd", gap(r, .12, null, code("cutout_evidence", {"fuse": "FUSE_SEEN", "label": "LABEL", "carrier": "CARRIER", "operator": "DNO_REC", "assumed": "ASSUMED"}))),
        ("looped_svc_flg", gap(r, .25, null, flag("looped_service"))), ("tails_csa_mm2", gap(r, .2, null, plain("tails_mm2"))),
        ("earth_sys_cd", gap(r, .15, null, code("earthing_system", {"TN-S": "TNS", "TN-C-S": "TNCS", "TT": "TT"}))), ("ze_ohms", gap(r, .3, null, plain("ze_ohm"))),
        ("cu_type_cd", gap(r, .12, null, code("board_type", {"metal": "METAL", "plastic": "PLASTIC", "rewireable": "REWIREABLE"}))),
        ("cu_main_switch_amp", gap(r, .15, null, plain("board_main_switch_a"))),
        ("eicr_outcome_cd", gap(r, .1, null, code("condition_report", {"satisfactory": "SAT", "C1": "C1", "C2": "C2", "C3": "C3", "FI": "FI", "none": "NONE"}))),
        ("eicr_dt", lambda s: ("NULL", {}) if s["condition_report"] == "none" else (s["condition_report_date"].strftime("%Y-%m-%d 00:00:00"), {"condition_report_date": s["condition_report_date"]})),
        ("max_demand_amp", gap(r, .05, null, plain("existing_demand_a"))),
        ("demand_basis_cd", gap(r, .08, null, code("demand_method", {"measured": "MEASURED", "calculated": "CALC", "estimated": "EST"}))),
        ("shower_w", gap(r, .1, null, watts("shower_kw"))), ("heat_pump_elec_kw", gap(r, .06, null, plain("heat_pump_kw"))),
        ("pv_kwp", gap(r, .05, null, plain("solar_kw"))), ("battery_kw", gap(r, .05, null, plain("battery_kw"))),
        ("ev_chargers_existing_cnt", plain("existing_charge_points")),
        ("parking_type_cd", gap(r, .04, null, code("parking_type", {"driveway": "DRIVE", "garage": "GARAGE", "allocated": "ALLOC", "communal": "COMMUNAL", "on-street": "STREET", "none": "NONE"}))),
        ("cable_run_mm", lambda s: ("NULL", {}) if s["parking_type"] == "none" else run(s)),
        ("ground_surf_cd", gap(r, .15, null, code("ground_surface", {"soft": "SOFT", "block": "BLOCK_PAV", "tarmac": "TARMAC", "concrete": "CONC", "footway": "FOOTWAY"}))),
        ("listed_bldg_flg", flag("listed")), ("asbestos_route_flg", gap(r, .2, null, flag("asbestos_on_route"))),
        ("consent_status_cd", gap(r, .06, null, code("consent_status", {"not needed": "NOT_REQD", "not asked": "NOT_ASKED", "asked": "APPLIED", "granted": "GRANTED", "refused": "REFUSED"}))),
        ("survey_dt", plain("survey_date", lambda v: v.strftime("%Y-%m-%d 00:00:00"))),
        ("survey_method_cd", code("survey_method", {"visit": "SITE_VISIT", "photo": "PHOTO", "phone": "TEL", "operator": "DNO_REC", "desk": "DESK"})),
        ("last_upd_user", own(lambda s: f"svc_load{r.randint(1, 3)}")), ("row_version", own(lambda s: r.randint(1, 19))),
    ]
    run = gap(r, .05, null, length("mm", lambda n: n, to=100))
    sh = Sheet("asset-export.csv", cols, blank="NULL")
    sh.heads()
    for i in range(50):
        s = home(r)
        dno = r.choice([11, 13, 15, 22])
        s.update(ref=f"{100400 + i * 13:08d}", uprn=f"{r.randint(10**9, 10**10):012d}", mpan=mpan(r, dno), d=s["d"] + r.randint(0, 9) / 10, existing_charge_points=pick(r, {0: 12, 1: 1}))
        s["line1"] = f"{s['no']}" if s["premises_type"] == "house" else f"FLAT {r.randint(1, 24)}"
        s["street"], s["place"] = s["street"].upper(), s["place"].upper()
        sh.site(s)
    csv_file(sh, os.path.join(out, sh.name), sep="\t", encoding="utf-16")
    return sh


def holiday(out):
    r = rng("holiday")
    nk = ["", "?", "dunno", "ask sparky"]
    tick = lambda f: words(r, f, {"yes": ["✓"], "no": ["✗"]})
    feet = length("ft", lambda n: r.choice([f"{n}ft", f"{n} ft", f"{n}'"]), to=5)
    feet = sometimes(r, .2, feet, length("m", lambda n: f"{n}m"))
    feet = sometimes(r, .15, feet, length("ft", lambda n: f"approx {n}ft", to=10))
    load = sometimes(r, .4, plain("existing_demand_a", lambda v: f"{v}A"), plain("existing_demand_kw", lambda v: f"{num(v)}kW"))
    heat = {"other": ["LPG bottles", "Log burner"], "direct": ["Electric panels"], "heat-pump": ["Air source"], "oil": ["Oil"], "storage": ["Storage heaters"], "gas": ["Gas"]}
    clock = lambda t: f"{t.hour % 12 or 12}{'.%02d' % t.minute if t.minute else ''}{'pm' if t.hour > 11 else 'am'}"
    when = lambda key, f: (lambda s: (clock(s[key]), {f: s[key].strftime("%H:%M")}))
    cols = [
        ("Lodge or pitch", part(lambda s: s["pitch"])), ("Field", part(lambda s: s["field"])), ("Park", part(lambda s: "Fenny Tarrow Holiday Park")),
        ("Sleeps", own(lambda s: s["bedrooms"] * 2)), ("Bedrooms", plain("bedrooms")),
        ("Hot tub", own(lambda s: r.choice(["✓", "✗", "✗"]))),
        ("Fed from (feeder)", gap(r, .1, nk, plain("feeder_id"))),
        ("Main fuse, amps", gap(r, .05, nk, plain("cutout_rating_a", lambda v: r.choice([v, v, f"{v}A"])))),
        ("Phases", gap(r, .1, nk, words(r, "supply_phases", {1: [1, "single"], 3: [3, "three"]}))),
        ("Isolator by the meter", gap(r, .1, ["", "?"], tick("isolator_present"))),
        ("Earth rod or PME?", gap(r, .15, nk, words(r, "earthing_system", {"TT": ["earth rod", "Rod (TT)", "TT"], "TN-C-S": ["PME"], "TN-S": ["TN-S"]}))),
        ("Using now at busiest (amps or kW)", gap(r, .05, nk, load)),
        ("Heated by", gap(r, .06, nk, words(r, "heating", heat))),
        ("Solar kW", gap(r, .1, nk, plain("solar_kw", lambda v: v or r.choice([0, "none"])))),
        ("Chargers there already", plain("existing_charge_points", lambda v: v or r.choice([0, 0, "none"]))),
        ("How far is the car from the fuse board", gap(r, .05, nk, always(feet, distance_from="board"))),
        ("What's the ground", gap(r, .08, nk, words(r, "ground_surface", {"soft": ["grass", "Grass"], "tarmac": ["tarmac", "Tarmac"], "concrete": ["concrete", "concrete slab"], "block": ["block paving"]}))),
        ("Car spaces", gap(r, .05, [""], plain("bays"))),
        ("Chargers wanted", gap(r, .06, nk, plain("points_wanted"))),
        ("Speed wanted", gap(r, .08, nk, lambda s: (s["kw"], {"requested_kw": s["kwt"]}))),
        ("With lead attached", gap(r, .08, ["", "?"], tick("tethered"))),
        ("Miles a day", gap(r, .1, nk, plain("daily_miles"))),
        ("Car back by", gap(r, .1, nk, when("t_in", "arrive"))), ("Car off again", gap(r, .1, nk, when("t_out", "depart"))),
        ("Phone signal", gap(r, .1, nk, lambda s: (lambda v: (v, {"mobile_signal": v}))(r.choice(["good", "poor", "ok", "none"])))),
        ("How I checked", words(r, "survey_method", {"visit": ["went and looked", "visit"], "photo": ["photo", "from a photo"], "phone": ["phoned", "phone"]})),
        ("£ per week", own(lambda s: r.choice([420, 560, 695, 850]))),
        ("Notes", lambda s: (lambda n: (n, {"notes": n}))(r.choice(["", "", "", "", "owner in Spain till March", "ducks nest here", "new decking 2025", "repeat guests, keen", "trees want cutting back"]))),
    ]
    sh = Sheet("holiday-park.xlsx", cols)
    sh.line("Car chargers - what we've got", look="title")
    sh.line("(my own list, sparky to check)")
    sh.heads()
    for field, kind, n in [("Lakeside", "Lodge", 13), ("Top Meadow", "Pitch", 13), ("Orchard", "Cabin", 8), ("Yard", "", 3)]:
        sh.line(field.upper(), look="total")
        for i in range(n):
            s = home(r, "Fenny Tarrow")
            big = field == "Yard"
            name = ["Reception and shop", "Clubhouse", "Laundry block"][i] if big else f"{kind} {i + 1 + (i > 11)}"
            s.update(pitch=name, field=field, bedrooms=r.choice([1, 2, 2, 3]), feeder_id=f"Pillar {r.randint(1, 5)}", supply_phases=3 if big else 1,
                     cutout_rating_a=r.choice([80, 100]) if big else pick(r, {"Lodge": {63: 3, 80: 4, 60: 2}, "Pitch": {32: 5, 40: 2, 63: 1}, "Cabin": {63: 3, 60: 2}}[kind]),
                     earthing_system=pick(r, {"TT": 6, "TN-C-S": 2, "TN-S": 1}), heating=pick(r, {"other": 5, "direct": 4, "heat-pump": 1, "oil": 1, "storage": 1}),
                     existing_charge_points=pick(r, {0: 10, 1: 1}), d=r.randint(5, 38), ground_surface=pick(r, {"soft": 6, "tarmac": 2, "concrete": 2, "block": 1}),
                     bays=r.randint(6, 20) if big else r.choice([1, 1, 2]), points_wanted=r.choice([2, 4]) if big else 1, daily_miles=r.choice([20, 30, 35, 40, 60]),
                     t_in=dt.time(r.choice([16, 17, 18, 19]), r.choice([0, 0, 30])), t_out=dt.time(r.choice([8, 9, 10]), r.choice([0, 0, 30])),
                     survey_method=pick(r, {"visit": 6, "photo": 2, "phone": 2}))
            s["existing_demand_a"] = int(s["cutout_rating_a"] * r.uniform(.3, .75))
            s["existing_demand_kw"] = round(s["existing_demand_a"] * .2185 * (3 if big else 1), 1)
            s["kw"], s["kwt"] = r.choice([("22kW", "22"), ("11kW", "11")]) if big else r.choice([("7kW", "7"), ("7kW", "7"), ("7", "7"), ("3.6kW", "3.6"), ("7.4kW", "7.4")])
            sh.site(s)
        sh.line()
    sh.line("37 in all counting the yard", look="total")
    xlsxwriter_file(sh, os.path.join(out, sh.name), title="Chargers")
    return sh


SHEETS = [installer, export, holiday]
