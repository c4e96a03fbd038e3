"""A rural housing co-operative's clerk (ods), a sheltered-housing warden (csv ;), a parish clerk (xls)."""
import os
from kit import *


def coop(out):
    r = rng("coop")
    blank = ["", "", "?", "not known"]
    tenure = {"social rent": ["Co-op tenant (social rent)", "Social rent"], "owner": ["Owner occupier", "Owner-occupied"],
              "leasehold": ["Leaseholder"], "shared": ["Shared owner", "Shared ownership"], "private rent": ["Private let", "Privately rented"]}
    heat = {"gas": ["Gas", "Mains gas", "Gas boiler"], "oil": ["Oil", "Oil boiler"], "storage": ["Night storage heaters", "Storage heaters"],
            "direct": ["Electric panel heaters"], "heat-pump": ["Air source heat pump", "Heat pump"],
            "communal": ["Communal boiler house"], "other": ["Wood burner only", "Solid fuel"]}
    earth = {"TN-S": ["TN-S", "TNS"], "TN-C-S": ["TN-C-S", "PME", "TNCS"], "TT": ["TT", "Earth rod (TT)"]}
    seen = {"fuse": ["Fuse seen", "Read off the fuse"], "label": ["Label on cut-out", "Label"], "carrier": ["Fuse carrier marking"],
            "operator": ["Network operator told us"], "assumed": ["Assumed", "Assumed from next door"]}
    park = {"driveway": ["Own drive", "Drive"], "garage": ["Garage", "Own garage"], "allocated": ["Allocated space"],
            "communal": ["Shared car park", "Communal yard"], "on-street": ["On the street", "Street"], "none": ["No parking", "None"]}
    dig = {"soft": ["Grass", "Lawn", "Flower bed"], "block": ["Block paving"], "tarmac": ["Tarmac"], "concrete": ["Concrete"], "footway": ["Pavement"]}
    yn = lambda f: words(r, f, {"yes": ["Y", "Yes"], "no": ["N", "No"]})
    notes = ["", "", "", "", "Key with neighbour", "Wants to be first", "Dog in yard", "Meter cupboard is tight", "Ring before visiting", "Has the old survey sheet"]
    remarks = lambda s: (lambda n: (n, {"notes": n}))(r.choice(notes))
    fuse = sometimes(r, .08, plain("cutout_rating_a"), span("cutout_rating_a", lambda s: 60, lambda s: 80, lambda a, b: r.choice([f"{a} or {b}", f"{a}/{b}"])))
    feet = sometimes(r, .15, length("ft", lambda n: n), length("ft", lambda n: f"about {n}", to=5))
    feet = sometimes(r, .06, feet, span("parking_distance_m", lambda s: int(s["d"] / .3048) // 5 * 5, lambda s: int(s["d"] / .3048) // 5 * 5 + 10,
                                        lambda a, b: f"{a} to {b}", .3048))
    run = gap(r, .05, blank, always(feet, distance_from="intake"))
    cols = [
        ("Village", lambda s: (s["place"] if s["first"] else None, {"_address": s["place"]})),
        ("House", part(lambda s: f"{s['no']} {s['street']}" if s["premises_type"] == "house" else f"Flat {s['flat']}, {s['street']} House")),
        ("Post code", plain("postcode")),
        ("Rent a/c", own(lambda s: f"R{s['no'] * 37 + 1041}")),
        ("Tenure", gap(r, .04, ["", "?"], words(r, "tenure", tenure))),
        ("Beds", gap(r, .04, [""], plain("bedrooms"))),
        ("Built", gap(r, .1, [""], sometimes(r, .2, plain("year_built"), plain("year_built", lambda v: f"c. {v}")))),
        ("Heating", gap(r, .05, blank, words(r, "heating", heat))),
        ("Electric shower kW", gap(r, .12, blank, plain("shower_kw"))),
        ("Main fuse (amps)", gap(r, .06, blank, fuse)),
        ("How we know the fuse size", gap(r, .15, [""], words(r, "cutout_evidence", seen))),
        ("Looped supply with next door? Y/N", gap(r, .2, ["", "?", "Don't know"], yn("looped_service"))),
        ("Type of earth", gap(r, .2, blank, words(r, "earthing_system", earth))),
        ("Present load (amps)", gap(r, .05, blank, sometimes(r, .12, plain("existing_demand_a"), plain("existing_demand_a", lambda v: f"approx {v}")))),
        ("Where they park", gap(r, .03, [""], words(r, "parking_type", park))),
        ("Meter to parking, cable way round (ft)", lambda s: ("", {}) if s["parking_type"] == "none" else run(s)),
        ("Ground to be dug", gap(r, .15, ["", "?"], words(r, "ground_surface", dig))),
        ("Shares held", own(lambda s: r.choice([1, 1, 1, 5, 10]))),
        ("Remarks", remarks),
    ]
    sh = Sheet("rural-coop.ods", cols)
    sh.line("Oxmarble & District Housing Co-operative Ltd", look="title")
    sh.line("Homes and car charging - clerk's working copy, last changed 14 October 2026")
    sh.line()
    sh.heads()
    n = 0
    for place in ["Oxmarble", "Garstoe", "Thrupley Parva", "Wexcote Regis", "Fenny Tarrow"]:
        group = [home(r, place) for _ in range(r.randint(7, 9))]
        street = r.sample(STREETS, 3)
        numbers = sorted(r.sample(range(1, 40), len(group)))
        start, codes = len(sh.rows) + 1, [postcode(r, place) for _ in street]
        for i, s in enumerate(group):
            s.update(first=i == 0, street=street[i * 3 // len(group)], postcode=codes[i * 3 // len(group)], no=numbers[i], flat=i + 1)
            sh.site(s)
        sh.merges.append((start, 1, len(sh.rows), 1))
        n += len(group)
        sh.line()
    sh.line(f"Total homes {n}", look="total")
    through_office(sh, os.path.join(out, sh.name), title="Homes")
    return sh


def warden(out):
    r = rng("warden")
    blank = ["", "dont know", "?", "dont know", "not sure"]
    heat = {"gas": ["gas", "gas boiler"], "storage": ["storage heaters", "nite storage", "storage"], "communal": ["comunal boiler", "communal"], "direct": ["electric wall heaters"]}
    earth = {"TN-S": ["TNS", "TN-S"], "TN-C-S": ["PME", "TN-C-S"], "TT": ["TT"]}
    board = {"metal": ["metal", "metal one"], "plastic": ["plastic", "white plastic"], "rewireable": ["old rewirable fuses", "rewireable"]}
    park = {"communal": ["comunal car park", "car park (shared)"], "allocated": ["own numbered bay", "alocated bay", "allocated bay"], "on-street": ["on street", "on the road"]}
    yards = length("yd", lambda n: r.choice([f"{n}", f"{n}", f"{n} yds", f"{n} yards"]))
    yards = sometimes(r, .15, yards, length("m", lambda n: f"{n} m"))
    yards = sometimes(r, .12, yards, length("ft", lambda n: f"{n} ft", to=5))
    yards = sometimes(r, .15, yards, length("yd", lambda n: f"about {n}"))
    amps = plain("cutout_rating_a", lambda v: r.choice([f"{v}", f"{v} amp", f"{v}A", f"{v} amps"]))
    load = plain("existing_demand_kw", lambda v: r.choice([f"{v}", f"{v}", f"{v} kw", f"{v}kw"]))
    last = {}

    def heating(s):
        if s["heating"] == last.get("now"):
            if r.random() < .3:
                return r.choice(["ditto", "as above"]), {"heating": s["heating"]}
        last["now"] = s["heating"]
        return r.choice(heat[s["heating"]]), {"heating": s["heating"]}
    notes = ["", "", "", "", "", "hard of hearing, knock loud", "son has the car", "blue badge", "spare key in office", "in hospital till xmas", "cupboard full of coats"]
    cols = [
        ("Flat", part(lambda s: f"Flat {s['flat']}")), ("Bilding", part(lambda s: s["block"])),
        ("Postcod", plain("postcode")),
        ("Bedrms", gap(r, .05, [""], plain("bedrooms"))),
        ("Heeting", heating),
        ("Eletric shower kw", gap(r, .15, blank, plain("shower_kw"))),
        ("Cooker kw", gap(r, .15, blank, plain("cooker_kw"))),
        ("Imersion heater kw", gap(r, .2, blank, plain("water_heater_kw"))),
        ("Main fuze amps", gap(r, .07, blank, amps)),
        ("Erthing type", gap(r, .35, blank, words(r, "earthing_system", earth))),
        ("Lode at present kw", gap(r, .06, blank, load)),
        ("Where do they park", gap(r, .04, [""], words(r, "parking_type", park))),
        ("Distence to parking (yds)", gap(r, .06, blank, yards)),
        ("Fuse board type", gap(r, .15, blank, words(r, "board_type", board))),
        ("Spair ways on fuse board", gap(r, .2, blank, plain("spare_ways"))),
        ("Pull cord tested", own(lambda s: r.choice(["ok", "ok", "ok", "new battery", ""]))),
        ("Date I looked", plain("survey_date", lambda v: r.choice([v.strftime("%d/%m/%y"), f"{v.day}/{v.month}/{v.year}"]))),
        ("Notes", lambda s: (lambda n: (n, {"notes": n}))(r.choice(notes))),
    ]
    sh = Sheet("warden-list.csv", cols)
    sh.line("Linnet Court, Siskin Court and Redpoll House - list for car chargers")
    sh.line("done by the warden Sept-Oct 2026")
    sh.line()
    sh.heads()
    for block, place, n in [("Linnet Court", "Harrabeck", 16), ("Siskin Court", "Harrabeck", 14), ("Redpoll House", "Little Umberley", 12)]:
        code, how = postcode(r, place), r.choice(["TN-S", "TN-C-S"])
        for i in range(n):
            s = home(r, place)
            s.update(block=block, flat=i + 1 + (i > 11), postcode=code, premises_type="flat", bedrooms=r.choice([1, 1, 2]), survey_date=dt.date(2026, 9, 1) + dt.timedelta(days=r.randint(0, 58)), d=r.randint(12, 45),
                     earthing_system=how, parking_type=pick(r, {"communal": 6, "allocated": 3, "on-street": .6}),
                     heating="communal" if block == "Redpoll House" and i < 9 else pick(r, {"storage": 4, "gas": 3, "direct": 1}))
            s["cutout_rating_a"] = pick(r, {60: 6, 80: 3, 100: 2})
            s["existing_demand_kw"] = round(min(s["existing_demand_kw"], s["cutout_rating_a"] * .2), 1)
            sh.site(s)
        sh.line()
        last.clear()
    sh.line("42 flats altogether")
    csv_file(sh, os.path.join(out, sh.name), sep=";", eol="\n")
    return sh


PARISH = ["Village hall", "Pavilion, recreation ground", "Reading room", "Upper car park", "Lower car park", "Allotment gate",
          "Cemetery lodge", "Old school house", "Scout hut", "Bowls club", "Library car park", "Parish office", "Almshouse No. 1",
          "Almshouse No. 2", "Market hall", "Doctors' car park", "Burial ground toolshed"]


def parish(out):
    r = rng("parish")
    blank = ["", "Not known", "Don't know", "To be confirmed"]
    yn = lambda f: words(r, f, {"yes": ["Yes", "Yes"], "no": ["No", "No"]})
    seen = {"fuse": ["Fuse inspected", "The fuse was seen"], "label": ["From the label", "Label"], "operator": ["Network operator's record", "Operator record"],
            "assumed": ["Assumed", "It is assumed"], "carrier": ["Marking on fuse carrier"]}
    how = {"measured": ["Measured", "Measured by electrician"], "calculated": ["Calculated"], "estimated": ["Estimate", "Guess", "Estimated"]}
    dig = {"soft": ["Grass", "Grass verge", "Soil"], "block": ["Block paving", "Blocks"], "tarmac": ["Tarmac"], "concrete": ["Concrete"],
           "footway": ["The footway", "Footway"], "carriageway": ["The road", "Carriageway"]}
    consent = {"not needed": ["Not needed", "None needed"], "not asked": ["Not asked yet", "Not yet asked"], "asked": ["Asked, awaiting reply", "Applied for"],
               "granted": ["Granted", "Yes, granted"], "refused": ["Refused"]}
    signal = lambda s: (lambda v: (v, {"mobile_signal": v}))(r.choice(["Good", "Good", "Fair", "Poor", "One bar"]))
    kw = sometimes(r, .15, plain("existing_demand_kw"), plain("existing_demand_kw", lambda v: f"About {num(v)} kW"))
    far = sometimes(r, .2, length("m", lambda n: n), length("m", lambda n: f"about {n} metres"))
    far = sometimes(r, .06, far, span("parking_distance_m", lambda s: s["d"] // 5 * 5, lambda s: s["d"] // 5 * 5 + 5, lambda a, b: f"between {a} and {b}"))
    dry = lambda c: (lambda s: (None, {}) if s["supply_present"] == "no" else c(s))
    notes = ["", "", "", "Key from the caretaker.", "Councillors would like this one first.", "Floods in a wet winter.", "Playgroup on Tuesdays and Thursdays.", "Lease runs to 2051."]
    cols = [
        ("Ref.", lambda s: (s["ref"], {"site_id": s["ref"]})),
        ("Name and address of site", part(lambda s: f"{s['name']}, {s['street']}, {s['place']}")),
        ("Who has the key?", own(lambda s: r.choice(["Clerk", "Caretaker", "Bookings secretary", "Key safe"]))),
        ("Is there an electricity supply at the site?", yn("supply_present")),
        ("Is the supply unmetered (as for street lamps)?", dry(gap(r, .05, [""], yn("unmetered")))),
        ("How many phases does the supply have?", dry(gap(r, .12, blank, words(r, "supply_phases", {1: [1, "One", "Single phase"], 3: [3, "Three"]})))),
        ("What is the size of the main fuse, in amps?", dry(gap(r, .05, blank, plain("cutout_rating_a", lambda v: r.choice([v, v, f"{v} amps"]))))),
        ("How was the size of the main fuse found out?", dry(gap(r, .1, [""], words(r, "cutout_evidence", seen)))),
        ("How much electricity is used now at the busiest time, in kW?", dry(gap(r, .06, blank, kw))),
        ("Was that measured, calculated or estimated?", dry(gap(r, .1, [""], words(r, "demand_method", how)))),
        ("How far is it in metres from the fuse board to the parking, the way a cable would go?", dry(gap(r, .05, blank, always(far, distance_from="board")))),
        ("What would have to be dug up?", gap(r, .1, blank, words(r, "ground_surface", dig))),
        ("How many parking spaces are there?", gap(r, .05, [""], plain("bays"))),
        ("How many charging points would the Council like?", gap(r, .1, blank, plain("points_wanted"))),
        ("Is the building listed?", gap(r, .1, blank, yn("listed"))),
        ("When was it built?", gap(r, .15, blank, sometimes(r, .25, plain("year_built"), plain("year_built", lambda v: f"about {v}")))),
        ("Has permission (landlord, planning) been given?", gap(r, .08, blank, words(r, "consent_status", consent))),
        ("If the cable crosses another's land, has a wayleave been agreed?", gap(r, .2, ["", "Don't know"], words(r, "wayleave_status", consent))),
        ("Is there known asbestos in the way of the cable?", gap(r, .25, ["", "Don't know"], yn("asbestos_on_route"))),
        ("What is the mobile telephone signal like?", gap(r, .15, [""], signal)),
        ("Any other comments", lambda s: (lambda n: (n, {"notes": n}))(r.choice(notes))),
    ]
    sh = Sheet("parish-council.xls", cols)
    sh.line("PELLDON WITH CRAY BASSINGHAM PARISH COUNCIL", look="title")
    sh.line("Return of Council premises considered for electric car charging (Minute 114/26)")
    sh.line()
    sh.heads()
    names = [(n, p) for p in ("Pelldon", "Cray Bassingham") for n in PARISH]
    for i, (name, place) in enumerate(names):
        if i == 17:
            sh.line()
            sh.line("Part 2 - Cray Bassingham (continued)", look="total")
            sh.heads()
        s = home(r, place)
        car = "car park" in name
        s.update(ref=f"PC{i + 1:02d}", name=name, supply_present="no" if name in ("Allotment gate", "Burial ground toolshed") and i % 3 else "yes",
                 unmetered="yes" if car and r.random() < .5 else "no", bays=r.randint(4, 40), points_wanted=r.choice([1, 1, 2, 2, 4]),
                 d=r.randint(6, 60), wayleave_status=pick(r, {"not needed": 7, "not asked": 2, "asked": 1, "granted": 1}))
        if s["unmetered"] == "yes":
            s.update(cutout_rating_a=25, existing_demand_kw=round(r.uniform(.3, 1.6), 1), supply_phases=1)
        elif r.random() < .3:
            s.update(supply_phases=3, cutout_rating_a=r.choice([63, 80, 100]), existing_demand_kw=round(r.uniform(7, 21), 1))
        sh.site(s)
    through_office(sh, os.path.join(out, sh.name), title="Premises")
    return sh


SHEETS = [coop, warden, parish]
