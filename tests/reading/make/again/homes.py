"""Homes: housing association register, tenants' replies, taxi drivers, private landlord."""
from kit import *


def street_sites(r, n, area, places, flats=0.3):
    """Invented dwellings: a few streets, numbers rising, some flats in named blocks."""
    out = []
    while len(out) < n:
        road, town, no = r.choice(ROADS), r.choice(places), r.randint(1, 40)
        flat = r.random() < flats
        block = f"{r.choice(['Tern', 'Wren', 'Alder', 'Hazel', 'Linnet', 'Rowan'])} {r.choice(['Court', 'House'])}"
        pc = postcode(r, area)
        for k in range(r.randint(2, 5)):
            s = {"flat": flat, "town": town, "postcode": pc, "road": road,
                 "a1": f"Flat {k + 1}, {block}" if flat else f"{no + 2 * k} {road}", "a2": road if flat else ""}
            s["full"] = ", ".join(x for x in (s["a1"], s["a2"], town) if x)
            out.append(s)
    return out[:n]


def housing_register(out):
    def ptype(s, r):
        shown, t = ("FLT", "flat") if s["flat"] and r.random() < .8 else ("MAIS", "flat") if s["flat"] else \
            weighted(r, [("HSE", "house", 6), ("BUNG", "house", 2)])[:2]
        return shown, {"premises_type": t}
    parking = [("DRIVE", "driveway", 5), ("GARAGE", "garage", 2), ("ALLOC BAY", "allocated", 3), ("COMM C/PARK", "communal", 2),
               ("ON STREET", "on-street", 2), ("NONE", "none", 1)]
    remarks = ["Key with caretaker", "Wet room 2024", "Meter cupboard boxed in", "Dog", "Path relaid 2025",
               "Shared side gate", "Adapted property - OT ref on file"]
    cols = [
        ("Prop Ref", text("site_id", lambda s, r: s["ref"])),
        ("UPRN", text("uprn", lambda s, r: f"99900{r.randint(1000000, 9999999)}", blank=.06)),
        ("Patch", own(lambda s, r: r.choice(["N1", "N2", "S1", "E3"]))),
        ("Addr 1", addr("a1")), ("Addr 2", addr("a2")), ("Town", addr("town")),
        ("Postcode", text("postcode", lambda s, r: s["postcode"])),
        ("Prop Type", ptype),
        ("Beds", number("bedrooms", lambda s, r: r.choice([1, 2, 2] if s["flat"] else [2, 3, 3, 4]), blank=0)),
        ("Build Yr", number("year_built", lambda s, r: r.randint(1924, 2012), blank=.08)),
        ("Tenure", choice("tenure", [("Gen Needs", "social rent", 8), ("Shared Own", "shared"), ("Leasehold", "leasehold")], 0)),
        ("Rent Grp", own(lambda s, r: r.choice("ABCD"))),
        ("Heat", choice("heating", [("GCH", "gas", 8), ("STORAGE", "storage", 3), ("PANEL HTRS", "direct"), ("ASHP", "heat-pump", 2),
                                    ("COMMUNAL", "communal"), ("OIL", "oil")], .05)),
        ("Shwr kW", number("shower_kw", lambda s, r: r.choice([7.5, 8.5, 8.5, 9.5, 10.5, 0]), blank=.3)),
        ("PV kWp", number("solar_kw", lambda s, r: r.choice([0, 0, 0, 2.1, 3.3, 3.9]), blank=.1)),
        ("Last EICR", date("condition_report_date", (2020, 1, 6), (2026, 9, 30), blank=.06)),
        ("EICR Result", choice("condition_report", [("SAT", "satisfactory", 6), ("UNSAT - C2", "C2", 2), ("UNSAT - FI", "FI"), ("SAT - C3", "C3", 2)], .06)),
        ("CU Mat'l", choice("board_type", [("METAL", "metal", 4), ("PLASTIC", "plastic", 5), ("REWIREABLE", "rewireable")], .05, ("U/K",))),
        ("Cut-out Fuse (A)", number("cutout_rating_a", lambda s, r: r.choice([60, 80, 80, 100, 100]), blank=.08, unknown=("U/K",),
                                    ranges=("{}/{}", [(60, 80), (80, 100)]), range_p=.06)),
        ("Phs", choice("supply_phases", [("SP", 1, 14), ("TP", 3)], .03)),
        ("Earth", choice("earthing_system", [("PME", "TN-C-S", 5), ("TNS", "TN-S", 4), ("TT", "TT")], .08, ("U/K",))),
        ("Looped Svc", choice("looped_service", [("N", "no", 7), ("Y", "yes", 2), ("U/K", None, 3)])),
        ("MD est (A)", number("existing_demand_a", lambda s, r: r.randint(22, 58), blank=0, extra={"demand_method": "estimated"})),
        ("Pkg Type", choice("parking_type", parking, .02)),
        ("Mtr to Pkg (m)", number("parking_distance_m", lambda s, r: r.choice([4, 6, 7.5, 9, 11, 14, 18, 22, 26, 35]), blank=.06,
                                  unknown=("U/K",), extra={"distance_from": "intake"})),
        ("EV Pts Exist", number("existing_charge_points", lambda s, r: r.choice([0] * 9 + [1]), blank=.05)),
        ("Inv Prog Yr", own(lambda s, r: r.choice(["26/27", "27/28", "28/29"]))),
        ("Remarks", text("notes", lambda s, r: r.choice(remarks), blank=.7)),
    ]
    sh = Sheet("housing-register", 101, cols)
    sh.line("ASSET REGISTER EXTRACT - ELECTRICAL AND PARKING ATTRIBUTES", bold=True)
    sh.line("Run date: 03/11/2026 08:14", None, None, "Run by: ASSETS02")
    sh.line("Selection: stock status = CURRENT, EV cohort 2")
    sh.line()
    sh.heads()
    for i, s in enumerate(street_sites(sh.r, 48, "QX", PLACES[:3], .35)):
        s["ref"] = f"{sh.r.randint(2, 6):02d}{4100 + 7 * i:06d}"
        sh.site(s)
    sh.line()
    sh.line("Records selected: 48")
    codes = [["Code", "Meaning"], ["HSE", "House"], ["BUNG", "Bungalow"], ["FLT", "Flat"], ["MAIS", "Maisonette"], ["GCH", "Gas central heating"],
             ["ASHP", "Air source heat pump"], ["SP / TP", "Single / three phase"], ["U/K", "Unknown"], ["SAT", "Satisfactory"]]
    return sh.write_xlsxwriter(out, "Extract", [("Codes", codes)], head=5)


def tenant_replies(out):
    def clock(field, opts):
        return choice(field, opts, .03)
    names = [a + " " + b for a in ("Ada", "Bram", "Cleo", "Dov", "Esme", "Fitz") for b in ("Oakapple", "Pinder", "Quill", "Rushby", "Sorrel", "Tansy", "Umber")]
    free = ["We have a dog, please ring first.", "I work nights", "Neighbour at no. 9 also interested", "Would the cable cross the path?\nI use a scooter.",
            "The meter is under the stairs, behind the hoover", "Please text, don't ring", "Have asked twice before!\nStill no answer.", "no thanks"]
    cols = [
        ("ID", text("site_id", lambda s, r: s["id"])),
        ("Start time", own(lambda s, r: s["start"])), ("Completion time", own(lambda s, r: s["start"][:-2] + "58")),
        ("Your name", own(lambda s, r: names[s["i"] % len(names)])),
        ("What is your address (without the postcode)?", addr("full")),
        ("And your postcode?", text("postcode", lambda s, r: s["postcode"])),
        ("What sort of home is it?", lambda s, r: ((r.choice(["Flat", "Flat or maisonette"]), {"premises_type": "flat"}) if s["flat"] else
                                                   (r.choice(["House", "House", "Bungalow"]), {"premises_type": "house"}))),
        ("Do you rent or own it?", choice("tenure", [("I rent it from the association", "social rent", 6), ("Shared ownership", "shared", 2), ("I own it", "owner"),
                                                     ("I own the lease", "leasehold")], .02)),
        ("How many bedrooms are there?", number("bedrooms", lambda s, r: r.randint(1, 2 if s["flat"] else 4), blank=.02)),
        ("How is your home heated?", choice("heating", [("Gas boiler", "gas", 7), ("Night storage heaters", "storage", 3), ("Heat pump", "heat-pump"), ("Oil boiler", "oil"),
                                                        ("From the boiler house for the whole block", "communal"), ("Electric panel heaters", "direct"), ("Don't know", None)], .02)),
        ("If you have an electric shower, how many kW is it? (it is printed on the front; put 0 if you have none)",
         number("shower_kw", lambda s, r: r.choice([0, 0, 7.5, 8.5, 9.5, 9.5, 10.5]), ("{}", "{}", "{} kW", "{}kw"), .12, ("Not sure",))),
        ("Look at the sealed fuse beside your meter. What number of amps is on it?",
         number("cutout_rating_a", lambda s, r: r.choice([60, 60, 80, 80, 100]), ("{}", "{}A", "{} amps", "{} amp", "It says {}"), .14, ("Can't see it", "don't know", "?"),
                ranges=("{} or {}", [(60, 80), (80, 100)]), range_p=.06)),
        ("Does your electricity come in through next door (a looped supply)?", choice("looped_service", [("No", "no", 5), ("Yes", "yes"), ("Don't know", None, 5)], .02)),
        ("Where do you keep your car overnight?", choice("parking_type", [("On my own drive", "driveway", 5), ("In a garage", "garage", 2), ("In a numbered bay", "allocated", 3),
                                                         ("In the shared car park", "communal", 3), ("On the street", "on-street", 2)], .02)),
        ("Roughly how far is it from the electricity meter to the car, the way a cable would go? (metres)",
         number("parking_distance_m", lambda s, r: r.choice([4, 5, 6, 8, 10, 12, 15, 18, 20, 25, 30]), ("{}", "{}m", "about {}", "{} metres", "approx {}", "{}"), .07, ("no idea",),
                ranges=("{}-{}", [(8, 10), (10, 15), (20, 25)]), range_p=.1, extra={"distance_from": "intake"})),
        ("Do you have a charge point now?", choice("existing_charge_points", [("No", 0, 9), ("Yes, one", 1)], .03)),
        ("How many plug-in cars will your household have in two years' time?", number("vehicles", lambda s, r: r.choice([1, 1, 1, 2]), blank=.05, unknown=("not sure",))),
        ("On a usual day, how many miles do you drive?", number("daily_miles", lambda s, r: r.choice([5, 8, 10, 12, 15, 20, 25, 30, 40, 60]), ("{}", "{}", "{} miles", "about {}"), .05,
                                                                ("varies",), ranges=("{} to {}", [(10, 15), (20, 30)]), range_p=.08)),
        ("What time is the car usually back home?", clock("arrive", [("17:30", "17:30"), ("6pm", "18:00"), ("6.30pm", "18:30"), ("5:15 pm", "17:15"), ("19:00", "19:00"), ("about 4pm", "16:00"), ("varies", None)])),
        ("And what time does it leave?", clock("depart", [("7am", "07:00"), ("07:30", "07:30"), ("8.15am", "08:15"), ("8:30", "08:30"), ("06:45", "06:45"), ("9 am", "09:00"), ("varies", None)])),
        ("How good is the mobile signal where the car stands?", choice("mobile_signal", [("Good", "good"), ("Poor", "poor"), ("None", "none", .4)], .05)),
        ("Would you like to join the residents' panel?", own(lambda s, r: r.choice(["Yes", "No", "Maybe"]))),
        ("Is there anything you want to add?", text("notes", lambda s, r: r.choice(free), blank=.65)),
        ("OFFICE USE: calculated load of the home, amps", number("existing_demand_a", lambda s, r: r.randint(18, 55), blank=.05, extra={"demand_method": "calculated"})),
        ("OFFICE USE: lot", text("lot", lambda s, r: f"Lot {r.randint(1, 3)}")),
    ]
    sh = Sheet("tenant-replies", 202, cols)
    sh.heads()
    for i, s in enumerate(street_sites(sh.r, 42, "ZY", PLACES[3:6], .35)):
        s.update(i=i, id=str(i + 1 + i // 9), start=f"2026-10-{3 + i // 3:02d} {8 + i % 12:02d}:{(i * 17) % 60:02d}:04")
        sh.site(s)
    return sh.write_csv(out, "utf-8-sig", ",")


def taxi_drivers(out):
    def permission(s, r):
        if s["owner"]:
            return r.choice(["not needed", "n/needed - owns", "not needed"]), {"consent_status": "not needed"}
        shown, t = weighted(r, [("asked", "asked", 3), ("granted", "granted", 3), ("refused", "refused", 1), ("not asked yet", "not asked", 3)])[:2]
        return shown, {"consent_status": t}

    def holds(s, r):
        s["owner"] = r.random() < .45
        shown, t = ("own", "owner") if s["owner"] else weighted(r, [("rent - private", "private rent", 3), ("council tenant", "social rent", 2)])[:2]
        return shown, {"tenure": t}

    def feet(s, r):
        s["ft"] = r.choice([12, 15, 18, 20, 25, 30, 35, 40, 45, 60, 75, 90])
        return s["ft"]
    cols = [
        ("Call sign", text("site_id", lambda s, r: s["id"])),
        ("Driver", own(lambda s, r: r.choice(["Zed", "Mags", "Olly", "Fen", "Bas", "Ruthie", "Kit"]) + " " + r.choice("BCDGHKMNPRT"))),
        ("Home adress", lambda s, r: (s["full"], {"address": s["full"]})),
        ("Post code", text("postcode", lambda s, r: s["postcode"])),
        ("House/flat", lambda s, r: ("flat", {"premises_type": "flat"}) if s["flat"] else (r.choice(["house", "hse", "house"]), {"premises_type": "house"})),
        ("Own or rent", holds),
        ("Landlords permission", permission),
        ("Plate no", own(lambda s, r: str(r.randint(100, 399)))),
        ("Plate runs out", own(lambda s, r: f"{r.randint(1, 28):02d}/{r.randint(1, 12):02d}/2027")),
        ("Weekly settle £", own(lambda s, r: r.choice(["£135", "£150", "£162.50"]))),
        ("Main fuse amps", number("cutout_rating_a", lambda s, r: r.choice([60, 80, 80, 100]), ("{}", "{}", "{}A", "{} amp"), .1, ("N/K", "?", "cant see"),
                                  ranges=("{}/{}", [(60, 80)]), range_p=.05)),
        ("House load now amps", number("existing_demand_a", lambda s, r: r.randint(20, 52), ("{}", "{}", "{}", "{}A", "approx {}"), .06, ("N/K",))),
        ("Fuse box metal or plastic", choice("board_type", [("metal", "metal", 3), ("plastic", "plastic", 5), ("old fuse wire", "rewireable"), ("N/K", None)], .04)),
        ("Spare ways in fuse box", number("spare_ways", lambda s, r: r.choice([0, 0, 1, 2, 3]), blank=.15, unknown=("N/K",))),
        ("Where parked at night", choice("parking_type", [("drive", "driveway", 7), ("garage", "garage", 2), ("street", "on-street", 2), ("own bay", "allocated", 2), ("shared car park", "communal")], .02)),
        ("Fuse box to car (ft)", number("parking_distance_m", feet, ("{}", "{}", "{}", "{} ft", "approx {}"), .05, ("N/K",), .3048,
                                        ranges=("{}-{}", [(20, 25), (30, 40)]), range_p=.05, extra={"distance_from": "board"})),
        ("of that indoors (ft)", number("route_indoor_m", lambda s, r: min(s.get("ft", 99), r.choice([3, 4, 6, 8, 10, 12])), blank=.2, conv=.3048)),
        ("Cab", own(lambda s, r: r.choice(["saloon", "estate", "8 seater", "WAV", "saloon"]))),
        ("Socket on cab is where", choice("inlet_position", [("front left", "front left"), ("rear right", "rear right"), ("rear left", "rear left"), ("front centre", "front centre")], .1, ("N/K",))),
        ("Wants cable attached (tethered)?", choice("tethered", [("Y", "yes", 3), ("N", "no", 2), ("dont mind", None)], .05)),
        ("Charger size wanted", choice("requested_kw", [("7kW", 7, 6), ("7.4kw", 7.4, 4), ("22kW", 22), ("3.6kW", 3.6)], .03)),
        ("Got charger already (how many)", number("existing_charge_points", lambda s, r: r.choice([0] * 8 + [1]), blank=.05)),
        ("Miles per day", number("daily_miles", lambda s, r: r.choice([80, 90, 100, 110, 120, 140, 160]), ("{}", "{}", "approx {}"), .05, ("varies",), ranges=("{}-{}", [(80, 100), (120, 150)]), range_p=.12)),
        ("Mi/kWh", number("miles_per_kwh", lambda s, r: r.choice([2.9, 3.2, 3.4, 3.6, 3.8, 4]), blank=.2)),
        ("Gets home", choice("arrive", [("0200", "02:00"), ("0330", "03:30"), ("1800", "18:00"), ("1930", "19:30"), ("2300", "23:00"), ("N/K", None)], .05)),
        ("Goes out", choice("depart", [("0600", "06:00"), ("0730", "07:30"), ("1100", "11:00"), ("1400", "14:00"), ("1630", "16:30"), ("N/K", None)], .05)),
        ("Notes", text("notes", lambda s, r: r.choice(["ring after 2", "kids asleep – knock", "getting 2nd car in March", "moving in Jan maybe", "paid £50 deposit", "wall is rendered"]), blank=.6)),
    ]
    sh = Sheet("taxi-drivers", 303, cols)
    sh.line("GRIMMERBY CARS – drivers wanting a charger at home")
    sh.line("list from Nov drivers meeting; ask the office if wrong")
    sh.line()
    sh.heads()
    for i, s in enumerate(street_sites(sh.r, 40, "QZ", PLACES[6:8], .25)):
        if i == 27:
            sh.line("NIGHT DRIVERS")
        s["id"] = f"G{i + 4:02d}" if i < 27 else f"N{i - 20:02d}"
        sh.site(s)
    sh.line()
    sh.line("40 drivers")
    return sh.write_csv(out, "cp1252", ",")


def landlord(out):
    tick = [("✓", "yes", 3), ("✗", "no", 2)]
    cols = [
        ("No.", text("site_id", lambda s, r: s["id"])),
        ("Property", addr("full")), ("P'code", text("postcode", lambda s, r: s["postcode"])),
        ("Flat / house", lambda s, r: ("Flat", {"premises_type": "flat"}) if s["flat"] else (r.choice(["Terrace", "Semi", "Semi", "Detached"]), {"premises_type": "house"})),
        ("Bed", number("bedrooms", lambda s, r: r.choice([1, 2] if s["flat"] else [2, 3, 3, 4]), blank=0)),
        ("Rent pcm", own(lambda s, r: r.choice([625, 650, 695, 720, 795, 850, 925]))),
        ("Tenancy ends", own(lambda s, r: dt.date(2027, r.randint(1, 12), r.randint(1, 28)), blank=.2)),
        ("EICR date", date("condition_report_date", (2021, 3, 1), (2026, 10, 20), blank=.06)),
        ("EICR said", choice("condition_report", [("Satisfactory", "satisfactory", 6), ("Sat, C3s only", "C3", 2), ("Unsatisfactory - C2", "C2", 2), ("Unsatisfactory - C1", "C1", .6), ("FI", "FI")], .05)),
        ("Main fuse", number("cutout_rating_a", lambda s, r: r.choice([60, 80, 100, 100]), ("{}A", "{}A", "{} A"), .08, ("tbc", "N/K"), ranges=("{}-{}A", [(60, 80)]), range_p=.05)),
        ("Tails", number("tails_mm2", lambda s, r: r.choice([16, 16, 25, 25, 10]), ("{}mm²", "{}mm²", "{} mm"), .1, ("tbc",))),
        ("Isolator after meter", choice("isolator_present", tick, .06, ("?",))),
        ("Earthing arangement", choice("earthing_system", [("TN-C-S", "TN-C-S", 5), ("TN-S", "TN-S", 4), ("TNC-S (PME)", "TN-C-S", 2), ("TT", "TT", .6)], .08, ("tbc",))),
        ("Gas/water bonding", number("main_bonding_mm2", lambda s, r: r.choice([10, 10, 6]), ("{}mm²",), .15, ("tbc", "not found"))),
        ("Consumer unit", choice("board_type", [("Metal", "metal", 4), ("Plastic", "plastic", 4), ("Old rewirable fuses", "rewireable")], .04)),
        ("State of CU", choice("board_condition", [("Sound", "sound", 7), ("Doubtful", "doubtful", 2), ("Unsafe", "unsafe", .7)], .08)),
        ("CU main switch", number("board_main_switch_a", lambda s, r: r.choice([100, 100, 80, 63]), ("{}A",), .06)),
        ("RCD type", choice("board_rcd_type", [("AC", "AC", 4), ("Type A", "A", 4), ("None", "none")], .1, ("N/K",))),
        ("SPD fitted", choice("surge_protection", tick, .06, ("?",))),
        ("Free ways", number("spare_ways", lambda s, r: r.choice([0, 1, 1, 2, 4]), blank=.06)),
        ("Max demand A (calculated)", number("existing_demand_a", lambda s, r: r.randint(24, 60), blank=.05, extra={"demand_method": "calculated"})),
        ("Parking", choice("parking_type", [("Drive", "driveway", 5), ("Garage", "garage", 2), ("Allocated space", "allocated", 3), ("Communal", "communal"), ("Street only", "on-street")], .02)),
        ("Yards, meter to car", number("parking_distance_m", lambda s, r: r.choice([5, 6, 8, 9, 11, 12, 14, 16, 20, 25, 32]), ("{}", "{}", "{}", "{} yds", "approx {}"), .05, ("tbc",), .9144,
                                       ranges=("{}-{}", [(10, 12), (15, 20)]), range_p=.07, extra={"distance_from": "intake"})),
        ("Meter to CU, yards", number("meter_to_board_m", lambda s, r: r.choice([1, 1, 2, 3, 5, 8]), blank=.1, conv=.9144)),
        ("Ground", choice("ground_surface", [("Lawn", "soft", 2), ("Tarmac", "tarmac", 3), ("Block paving", "block", 3), ("Concrete", "concrete", 3)], .12)),
        ("Freeholder consent", lambda s, r: choice("consent_status", [("Asked", "asked", 3), ("Granted", "granted", 2), ("Not asked", "not asked", 2), ("Refused", "refused", .5)])(s, r) if s["flat"]
         else ("Not needed", {"consent_status": "not needed"})),
        ("Insurer ref", own(lambda s, r: f"PL/{r.randint(10000, 99999)}", blank=.3)),
        ("Comments", text("notes", lambda s, r: r.choice(["Tenant has asked for this", "Selling spring 2027?", "Agent holds keys", "Meter in communal riser", "New roof 2025"]), blank=.6)),
    ]
    sh = Sheet("landlord", 404, cols)
    sh.line("My properties - electrics and parking, for the charger quote", bold=True)
    sh.line("Updated 9 Nov 26.  ✓ = yes  ✗ = no")
    sh.heads()
    sites = sorted(street_sites(sh.r, 31, "QX", PLACES[8:10], .4), key=lambda s: s["town"])
    last = None
    for i, s in enumerate(sites):
        if s["town"] != last:
            if last:
                sh.line()
            sh.line(s["town"], bold=True)
            last = s["town"]
        s["id"] = i + 1
        sh.site(s)
    sh.line()
    sh.line(None, "Total rent pcm", None, None, None, sh.total("Rent pcm")(sh.sites))
    return sh.write_openpyxl(out, "Properties", 13, [("Policies", [["Insurer ref", "Renewal", "Excess £"], ["PL block policy", "1 April 2027", 250]])])
