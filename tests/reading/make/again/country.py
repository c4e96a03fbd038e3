"""Mixed estates: a farm estate office, a surveyor's tablet export, a church diocese's property secretary."""
from kit import *


def farm_estate(out):
    kinds = [("Cottage", "house", 7), ("Farmhouse", "house", 3), ("Lodge", "house"), ("Flat over stables", "flat"), ("Workshop (staff)", "workplace", 1.5), ("Estate office", "workplace", .8)]

    def demand(s, r):
        if r.random() < .06:
            return r.choice(["n/k", None]), {}
        a = r.randint(22, 55)
        if r.random() < .6:
            return r.choice([f"{a} A", f"{a}A", f"about {a}A"]), {"existing_demand_a": str(a)}
        kw = r.choice([5.5, 6, 7.5, 8, 9, 11])
        return f"{num(kw)} kW", {"existing_demand_kw": num(kw)}

    def run(s, r):
        x = r.random()
        if x < .05:
            return "n/k", {}
        n = r.choice([8, 10, 12, 15, 20, 25, 30, 45, 60])
        if x < .6:
            return r.choice([f"{n} yds", f"{n} yards", f"abt {n} yds"]), {"parking_distance_m": num(n * .9144)}
        if x < .8:
            return f"{n * 3} ft", {"parking_distance_m": num(n * 3 * .3048)}
        return f"{n} m", {"parking_distance_m": num(n)}

    def earth(s, r):
        if r.random() < .07:
            s["e"] = None
            return "n/k", {}
        shown, s["e"] = weighted(r, [("TT - rod", "TT", 5), ("TT", "TT", 2), ("PME", "TN-C-S", 4), ("TN-S", "TN-S", 2)])[:2]
        return shown, {"earthing_system": s["e"]}

    def ohms(s, r):
        if s["e"] is None or r.random() < .25:
            return None, {}
        v = r.choice({"TT": [21, 38, 64, 96, 140], "TN-C-S": [.14, .21, .28, .33], "TN-S": [.35, .48, .62]}[s["e"]])
        return v, {"ze_ohm": num(v)}

    def heat(s, r):
        shown, t = choice("heating", [("oil", "oil", 6), ("night storage", "storage", 2), ("heat pump", "heat-pump", 2), ("coal and logs", "other")], .06)(s, r)
        s["heat"] = t.get("heating")
        return shown, t
    cols = [
        ("Holding", text("site_id", lambda s, r: s["id"])),
        ("House or yard", addr("a1")), ("Where", addr("town")),
        ("Country", lambda s, r: (s["nation"], {"nation": s["nation"]})),
        ("What it is", choice("premises_type", kinds, 0)),
        ("Let to", own(lambda s, r: r.choice(["Estate staff", "Tenant", "Tenant", "Empty", "Pensioner"]))),
        ("Built about", number("year_built", lambda s, r: r.choice([1690, 1740, 1790, 1815, 1850, 1870, 1905, 1936, 1958]), ("{}", "{}", "c.{}"), .1, ("n/k",))),
        ("Listed", choice("listed", [("no", "no", 6), ("yes", "yes", 3), ("Gr II", "yes")], .05)),
        ("Off which transformer", text("feeder_id", lambda s, r: r.choice(["T1", "T2", "T3", "T4", "T7"]), blank=.1)),
        ("Single or 3 phase", choice("supply_phases", [("single", 1, 8), ("three", 3, 2)], .05)),
        ("Co. fuse (amps)", number("cutout_rating_a", lambda s, r: r.choice([60, 60, 80, 100, 100]), ("{}", "{}", "{}A"), .08, ("n/k",), ranges=("{} or {}", [(60, 80), (80, 100)]), range_p=.06)),
        ("Max. load now", demand),
        ("How got at", choice("demand_method", [("clamp meter", "measured"), ("worked out", "calculated", 3), ("guess", "estimated", 2)], .08)),
        ("Earthing", earth), ("Earth test, ohms", ohms),
        ("Room for an earth rod?", choice("electrode_position", [("yes", "yes", 5), ("no", "no", 2), ("not sure", None)], .08)),
        ("Bonding mm2", number("main_bonding_mm2", lambda s, r: r.choice([6, 10, 10, 16]), blank=.2, unknown=("n/k",))),
        ("Heating", heat),
        ("Heat pump kW (elec.)", lambda s, r: (lambda v: (v, {"heat_pump_kw": num(v)}))(r.choice([2.5, 3.2, 4])) if s["heat"] == "heat-pump" else (None, {})),
        ("Elec. cooker kW", number("cooker_kw", lambda s, r: r.choice([0, 7, 8.5, 10, 11]), blank=.15)),
        ("Immersion kW", number("water_heater_kw", lambda s, r: r.choice([0, 3, 3, 3]), blank=.12)),
        ("Solar kW", number("solar_kw", lambda s, r: r.choice([0, 0, 3.6, 4, 10]), blank=.1)),
        ("Battery kW", number("battery_kw", lambda s, r: r.choice([0, 0, 0, 3.6, 5]), blank=.1)),
        ("Where car stands", choice("parking_type", [("drive", "driveway", 6), ("garage", "garage", 2), ("shared yard", "communal", 3), ("roadside", "on-street")], .04)),
        ("Meter to car", run),
        ("Dig through", choice("ground_surface", [("lawn", "soft", 4), ("concrete", "concrete", 3), ("tarmac", "tarmac", 2), ("lane (highway)", "carriageway")], .15)),
        ("Dig length yds", number("route_buried_m", lambda s, r: r.choice([0, 0, 3, 5, 6, 8]), blank=.15, conv=.9144)),
        ("Wayleave", choice("wayleave_status", [("not needed", "not needed", 6), ("asked for", "asked", 2), ("granted", "granted"), ("not asked", "not asked")], .06)),
        ("Acres with house", own(lambda s, r: r.choice([0.1, 0.25, 0.5, 1.2, 3]), blank=.2)),
        ("Vehicles", number("vehicles", lambda s, r: r.choice([1, 1, 2, 3]), blank=.05)),
        ("Agent's notes", text("notes", lambda s, r: r.choice(["Thatch", "Overhead line crosses garden", "Bull in paddock", "Rewired 2019", "Tenant keen", "Shared track"]), blank=.5)),
    ]
    sh = Sheet("farm-estate", 808, cols)
    r = sh.r
    sh.line("THE SKELDERTON ESTATE", bold=True)
    sh.line("Dwellings and yards: electricity, and where the vehicles stand. Michaelmas 2026")
    sh.line()
    sh.heads()
    names = [a + " " + b for a in ("Rook", "Weir", "Larch", "Kiln", "Fold", "Sallow", "Drovers", "Bield", "Heron", "Gorse", "Nether") for b in ("End", "Bank", "Garth")]
    r.shuffle(names)
    villages = [("Thistlewade", "England"), ("Eskerthwaite", "England"), ("Yarrowfold", "Scotland")]
    for k, (v, nat) in enumerate(villages):
        if k:
            sh.line()
        for i in range(11):
            n = k * 11 + i
            sh.site({"id": f"{n + 1}{'ABC'[k]}", "a1": names[n], "town": v, "nation": nat})
    return sh.write_office(out, "xls", "Holdings")


def tablet(out):
    def enum(field, words, blank=.05):
        return choice(field, [(w, w, n) if isinstance(w, str) else (w[0], w[1], n) for w, n in words], blank, ("not_recorded",))
    yn = [(("true", "yes"), 3), (("false", "no"), 4)]
    why = {"blocked": "Tenant refuses work", "marginal": "Fuse carrier cracked, see photo", "ready": "Loop removed last week"}

    def over(key, field):
        return lambda s, r: (s["over"][key], {field: s["over"][key]}) if s["over"] else (None, {})

    def length(s, r):
        s["ri"], s["rs"], s["rb"] = r.choice([1, 2.5, 4]), r.choice([2, 4.5, 6, 9]), r.choice([0, 0, 0, 3, 5.5])
        return s["ri"] + s["rs"] + s["rb"]
    cols = [
        ("form_uuid", own(lambda s, r: f"{r.randrange(16**8):08x}-{r.randrange(16**4):04x}")),
        ("app_build", own(lambda s, r: "4.1.7")),
        ("surveyor", own(lambda s, r: r.choice(["S-07", "S-11", "S-15"]))),
        ("survey_completed_at", lambda s, r: (s["day"] + f"T{r.randint(8, 17):02d}:{r.randint(0, 59):02d}:{r.randint(0, 59):02d}", {"survey_date": s["day"]})),
        ("visit_mode", enum("survey_method", [(("on_site_visit", "visit"), 7), (("photos", "photo"), 2), (("telephone", "phone"), 1)], 0)),
        ("job_ref", text("site_id", lambda s, r: s["id"])), ("uprn", text("uprn", lambda s, r: s["uprn"])),
        ("addr_line", addr("a1")), ("addr_town", addr("town")), ("addr_postcode", text("postcode", lambda s, r: s["postcode"])),
        ("gps_lat", text("latitude", lambda s, r: f"{r.uniform(52.1, 52.4):.6f}", blank=.08)), ("gps_lon", text("longitude", lambda s, r: f"{r.uniform(-1.9, -1.4):.6f}", blank=.08)),
        ("premises", enum("premises_type", [("house", 7), ("flat", 2)], 0)),
        ("supply_phases", enum("supply_phases", [(("single_phase", "1"), 9), (("three_phase", "3"), 1)], .03)),
        ("cutout_fuse_amps", number("cutout_rating_a", lambda s, r: r.choice([60, 80, 80, 100]), blank=.06, unknown=("not_recorded",))),
        ("cutout_rating_source", needs("cutout_rating_a", enum("cutout_evidence", [(("fuse_seen", "fuse"), 4), (("label", "label"), 4), (("carrier_marking", "carrier"), 2), (("assumed", "assumed"), 1), (("network_operator", "operator"), 1)]))),
        ("cutout_condition", enum("cutout_condition", [("sound", 8), ("doubtful", 2), ("unsafe", .6)])),
        ("service_looped", enum("looped_service", [(("true", "yes"), 1.5), (("false", "no"), 7)], .15)),
        ("meter_tails_csa_mm2", number("tails_mm2", lambda s, r: r.choice([16, 16, 25]), blank=.06)),
        ("isolator_fitted", enum("isolator_present", yn)),
        ("earthing_type", enum("earthing_system", [(("tn_c_s", "TN-C-S"), 5), (("tn_s", "TN-S"), 4), (("tt", "TT"), .8)])),
        ("ze_measured_ohms", lambda s, r: (None, {}) if "ze" not in s or r.random() < .15 else (s["ze"], {"ze_ohm": s["ze"]})),
        ("pfc_ka", number("fault_level_ka", lambda s, r: r.choice([.8, 1.1, 1.4, 1.9, 2.3]), blank=.2)),
        ("main_bond_csa_mm2", number("main_bonding_mm2", lambda s, r: r.choice([6, 10, 10]), blank=.15)),
        ("earthing_conductor_csa_mm2", number("earthing_conductor_mm2", lambda s, r: r.choice([6, 10, 16, 16]), blank=.15)),
        ("max_demand_amps", number("existing_demand_a", lambda s, r: r.randint(20, 54) + r.choice([0, .5]), blank=.04)),
        ("max_demand_basis", enum("demand_method", [("measured", 2), ("calculated", 6), ("estimated", 2)], .04)),
        ("cu_enclosure", enum("board_type", [("metal", 5), ("plastic", 4), ("rewireable", 1)])),
        ("cu_condition", enum("board_condition", [("sound", 8), ("doubtful", 2), ("unsafe", .5)])),
        ("cu_main_switch_amps", number("board_main_switch_a", lambda s, r: r.choice([100, 100, 80, 63]), blank=.06)),
        ("cu_spare_ways", number("spare_ways", lambda s, r: r.randint(0, 4), blank=.05)),
        ("cu_rcd_type", enum("board_rcd_type", [("AC", 4), ("A", 4), ("none", 1)])),
        ("cu_spd_fitted", enum("surge_protection", yn)),
        ("meter_to_cu_mm", number("meter_to_board_m", lambda s, r: r.choice([600, 900, 1500, 2400, 4200]), blank=.08, conv=.001)),
        ("parking_kind", enum("parking_type", [("driveway", 6), ("garage", 2), (("allocated_bay", "allocated"), 2), ("communal", 1)], .03)),
        ("measured_from", lambda s, r: (lambda v: (v[0], {"distance_from": v[1]}))(r.choice([("meter_intake", "intake"), ("consumer_unit", "board")]))),
        ("route_total_m", number("parking_distance_m", length, blank=0)),
        ("route_indoor_m", number("route_indoor_m", lambda s, r: s["ri"], blank=.03)),
        ("route_clipped_outside_m", number("route_surface_m", lambda s, r: s["rs"], blank=.03)),
        ("route_underground_m", number("route_buried_m", lambda s, r: s["rb"], blank=.03)),
        ("route_in_insulation_m", number("insulated_length_m", lambda s, r: min(s["ri"], r.choice([0, 0, 0.5, 1.5, 2])), blank=.08)),
        ("walls_to_drill_count", number("walls", lambda s, r: r.choice([1, 1, 2, 3]), blank=.05)),
        ("ground_surface", enum("ground_surface", [("soft", 3), (("block_paving", "block"), 3), ("tarmac", 3), ("concrete", 2)], .1)),
        ("parking_covered", enum("covered_parking", [(("true", "yes"), 1), (("false", "no"), 6)])),
        ("car_parks_facing", enum("parking_orientation", [(("nose_in", "nose in"), 3), (("nose_out", "nose out"), 2)], .1)),
        ("car_inlet_location", enum("inlet_position", [(("front_left", "front left"), 2), (("rear_right", "rear right"), 2), (("rear_left", "rear left"), 2)], .15)),
        ("mobile_signal", enum("mobile_signal", [("good", 5), ("poor", 3)])),
        ("photo_count", own(lambda s, r: r.randint(3, 14))),
        ("override_verdict", over("verdict", "override_verdict")), ("override_by", over("by", "override_by")),
        ("override_date", over("date", "override_date")), ("override_reason", over("why", "override_why")),
        ("free_text", text("notes", lambda s, r: r.choice(["Loft hatch painted shut; use airing cupboard", "Gas meter 0.4 m from wall position", "Customer wants black unit", "Gate locked, key safe by door"]), blank=.6)),
    ]
    sh = Sheet("tablet-export", 909, cols)
    r = sh.r
    sh.heads()
    ek = [c[0] for c in cols].index("earthing_type")
    plain = cols[ek][1]

    def earth(s, r):          # the loop reading follows the kind of earthing
        shown, t = plain(s, r)
        if t:
            s["ze"] = r.choice({"TN-C-S": ["0.12", "0.19", "0.27"], "TN-S": ["0.31", "0.44", "0.58"], "TT": ["45", "88", "120"]}[t["earthing_system"]])
        return shown, t
    cols[ek] = ("earthing_type", earth)
    for i in range(45):
        d = dt.date(2026, 10, 5) + dt.timedelta(days=i // 2)
        s = {"id": f"JB-{20410 + i * 3}", "uprn": f"99901{r.randint(1000000, 9999999)}", "a1": f"{r.randint(1, 88)} {r.choice(ROADS)}", "town": r.choice(PLACES[2:6]),
             "postcode": postcode(r, "ZY"), "day": d.isoformat(), "over": None}
        if i in (6, 19, 31, 40):
            v = ["blocked", "marginal", "ready", "marginal"][(6, 19, 31, 40).index(i)]
            s["over"] = {"verdict": v, "by": "S-02", "date": (d + dt.timedelta(days=3)).isoformat(), "why": why[v]}
        sh.site(s)
    return sh.write_csv(out, "utf-8", ";", end="\n")


def diocese(out):
    cols = [
        ("Ref.", text("site_id", lambda s, r: s["id"])),
        ("Benefice", own(lambda s, r: s["ben"])),
        ("Address", addr("full")), ("Post code", text("postcode", lambda s, r: s["postcode"])),
        ("Type", choice("premises_type", [("House", "house", 8), ("Flat", "flat"), ("Office", "workplace")], 0)),
        ("Built", number("year_built", lambda s, r: r.choice([1788, 1834, 1868, 1902, 1931, 1957, 1964, 1971, 1988, 2003]), blank=.06)),
        ("Listed", choice("listed", [("No", "no", 5), ("II", "yes", 2), ("II*", "yes", .7)], .04)),
        ("Asbestos on cable way", choice("asbestos_on_route", [("No", "no", 4), ("Yes", "yes"), ("Not tested", None, 2)], .05)),
        ("No. of bedrooms", number("bedrooms", lambda s, r: None if s["_told"]["premises_type"] == "workplace" else r.choice([3, 4, 4, 5]), blank=.04)),
        ("Heating", choice("heating", [("Gas", "gas", 6), ("Oil", "oil", 3), ("Heat pump", "heat-pump", 2)], .04)),
        ("Main fuse (Amps)", number("cutout_rating_a", lambda s, r: r.choice([60, 80, 80, 100]), blank=.07, unknown=("Not known",))),
        ("How fuse known", needs("cutout_rating_a", choice("cutout_evidence", [("Fuse seen", "fuse", 3), ("Label", "label", 3), ("Operator's letter", "operator", 2), ("Assumed", "assumed", 2)], .06))),
        ("Phases", choice("supply_phases", [("1", 1, 9), ("3", 3)], .05, ("Not known",))),
        ("Condition of cutout", choice("cutout_condition", [("Sound", "sound", 7), ("Doubtful", "doubtful")], .12, ("Not known",))),
        ("Shared (looped) with neighbour", choice("looped_service", [("No", "no", 6), ("Yes", "yes"), ("Not known", None, 2)], .04)),
        ("Peak load kW (smart meter)", number("existing_demand_kw", lambda s, r: r.choice([4.2, 5.1, 5.8, 6.4, 7.2, 8, 9.3]), blank=.06, unknown=("Not known",), extra={"demand_method": "measured"})),
        ("Date elec. test", date("condition_report_date", (2021, 2, 1), (2026, 9, 1), blank=.05)),
        ("Outcome", choice("condition_report", [("Satisfactory", "satisfactory", 6), ("C2", "C2", 2), ("C3", "C3", 2)], .05)),
        ("Parking", choice("parking_type", [("Drive", "driveway", 7), ("Garage", "garage", 3), ("Street", "on-street"), ("Allocated", "allocated")], .03)),
        ("Distence meter to car, metres", number("parking_distance_m", lambda s, r: r.choice([5, 7, 9, 12, 14, 18, 24, 30, 42]), ("{}", "{}", "{}", "c. {}"), .05, ("Not known",),
                                                 ranges=("{} - {}", [(10, 12), (15, 20)]), range_p=.08, extra={"distance_from": "intake"})),
        ("Of which dug, metres", number("route_buried_m", lambda s, r: r.choice([0, 0, 2, 4]), blank=.1)),
        ("Dug through", choice("ground_surface", [("Grass", "soft", 3), ("Tarmac", "tarmac", 3), ("Block paving", "block", 2)], .2)),
        ("Faculty or other consent", choice("consent_status", [("Granted", "granted", 2), ("Applied for", "asked", 3), ("Not needed", "not needed", 5), ("Not applied for", "not asked", 2), ("Refused", "refused", .5)], .04)),
        ("Quinquennial", own(lambda s, r: r.choice([2027, 2028, 2029, 2030, 2031]))),
        ("Clergy miles per day", number("daily_miles", lambda s, r: r.choice([8, 12, 15, 20, 25, 35]), blank=.08, ranges=("{} - {}", [(15, 20), (20, 30)]), range_p=.08)),
        ("Charger kW", number("requested_kw", lambda s, r: r.choice([7, 7.4, 7.4, 3.6]), blank=.05)),
        ("How surveyed", choice("survey_method", [("Visit", "visit", 5), ("Telephone", "phone", 3), ("Desk", "desk", 2)], .03)),
        ("Date surveyed", date("survey_date", (2026, 6, 1), (2026, 11, 6), blank=.04)),
        ("Priority", number("priority", lambda s, r: r.randint(1, 3), blank=.03)),
        ("Remarks", text("notes", lambda s, r: r.choice(["Vacant from January", "Curate moving in at Easter", "Garage full of parish chairs", "Archdeacon to advise", "Trees protected"]), blank=.55)),
    ]
    sh = Sheet("diocese", 1010, cols)
    r = sh.r
    sh.line("Diocesan Property Department", bold=True)
    sh.line("Clergy houses and offices - electric car charging return", None, None, None, None, "Secretary's copy, 16 Nov 2026")
    sh.line()
    sh.heads()
    n, seen = 0, set()
    for dean, count in (("Deanery of Ottlemere", 13), ("Deanery of Brensholt with Marvleigh", 13), ("Deanery of Hollenstow", 12)):
        sh.line(dean, bold=True)
        for _ in range(count):
            n += 1
            town = r.choice(PLACES)
            name = next(x for x in iter(lambda: r.choice(["The Vicarage", "The Rectory", "Glebe House", f"{r.randint(2, 60)} {r.choice(ROADS)}", f"{r.randint(2, 60)} {r.choice(ROADS)}"]), 0) if (x, town) not in seen)
            seen.add((name, town))
            first = f"{name}, {r.choice(ROADS)}" if not name[0].isdigit() else name
            sh.site({"id": f"DP/{n:03d}", "ben": f"{town} w. {r.choice(PLACES)}", "full": f"{first}, {town}", "postcode": postcode(r, "QZ")})
        sh.line(f"{count} properties in this deanery")
        sh.line()
    sh.merges = []
    return sh.write_xlsxwriter(out, "Return", head=4)
