"""Ten invented sheets in ten house styles, each with its truth beside it as a clean table.

The truth is drawn first, with fixed draws, and then written down the way each office would write it; the reader has no
part in either. Forms in a truth table: a value; `10..15` for a stated range; blank where the sheet states nothing.
"""
import csv
import io
import pathlib
import random

from parts import supply_number
from workbooks import DAY, book, saved

FOLDER = pathlib.Path(__file__).resolve().parents[1] / "styles"
STREETS = ["Fennel Row", "Heron's Ladder", "Larder Lane", "Total Court", "St Ebb's Walk", "Mill Lane", "Weir Close", "Long Acre"]
UNKNOWN = ["", "", "?", "tbc", "N/K", "not known", "-"]


class Hand:
    """One office: what it asks, how it heads its columns and how it spells."""

    def __init__(self, name, columns, rows=40, unknown=0.06):
        self.name, self.columns, self.rows, self.unknown = name, columns, rows, unknown
        self.draw = random.Random(f"style {name}")
        self.always = {"site_id", "address", "postcode"}

    def pick(self, *options):
        return self.draw.choice(options)

    def truths(self):
        for number in range(1, self.rows + 1):
            yield self.truth(number)

    def truth(self, number):
        d = self.draw
        street = STREETS[number % len(STREETS)]
        t = {
            "site_id": f"{self.name[:2].upper()}{number:03d}",
            "address": f"{number} {street}, Tarnholt",
            "postcode": f"QX{d.randint(1, 9)} {d.randint(1, 9)}{d.choice('ABDEFGH')}{d.choice('JLNPQRS')}",
            "uprn": f"9900{d.randint(10_000_000, 99_999_999)}",
            "mpan": supply_number(d.choice([10, 12, 16, 20, 22]), d.randint(1_000_000_000, 9_999_999_999)),
            "premises_type": d.choice(["house", "house", "house", "flat"]),
            "tenure": d.choice(["social rent", "owner", "private rent", "shared"]),
            "survey_date": f"2026-{d.randint(1, 10):02d}-{d.randint(1, 28):02d}",
            "supply_phases": d.choice([1, 1, 1, 1, 3]),
            "cutout_rating_a": d.choice([60, 60, 80, 80, 100]),
            "looped_service": d.choice(["yes", "no", "no", "no"]),
            "tails_mm2": d.choice([16, 25, 25]),
            "isolator_present": d.choice(["yes", "no"]),
            "earthing_system": d.choice(["TN-C-S", "TN-C-S", "TN-S", "TT"]),
            "fault_level_ka": d.choice([0.9, 1.1, 1.6, 2.4]),
            "existing_demand_a": d.randint(18, 58),
            "demand_method": d.choice(["measured", "calculated", "estimated"]),
            "bedrooms": d.randint(1, 5),
            "heating": d.choice(["gas", "gas", "gas", "oil", "storage", "heat-pump"]),
            "shower_kw": d.choice([0, 7.5, 8.5, 9.5, 10.5]),
            "solar_kw": d.choice([0, 0, 0, 3.2, 4]),
            "board_type": d.choice(["metal", "plastic", "rewireable"]),
            "spare_ways": d.choice([0, 1, 2, 3]),
            "board_rcd_type": d.choice(["AC", "A", "none"]),
            "parking_type": d.choice(["driveway", "driveway", "garage", "allocated", "on-street"]),
            "parking_distance_m": d.choice([4, 6, 8, 9, 11, 12, 14, 17, 21, 26]),
            "ground_surface": d.choice(["soft", "block", "tarmac", "concrete"]),
            "walls": d.choice([1, 1, 2]),
            "listed": d.choice(["no", "no", "no", "yes"]),
            "consent_status": d.choice(["not needed", "granted", "asked", "not asked", "refused"]),
            "year_built": d.randint(1890, 2015),
            "points_wanted": 1,
            "requested_kw": d.choice([7.4, 7.4, 3.6]),
        }
        t["ze_ohm"] = {"TN-C-S": d.choice([0.14, 0.21, 0.28]), "TN-S": d.choice([0.32, 0.45, 0.61]), "TT": d.choice([38, 74, 120])}[t["earthing_system"]]
        return {key: t[key] for key in t if key in self.columns}

    def written(self):
        """Rows of cells as written, and the truth of each."""
        for truth in self.truths():
            cells, self.now = {}, truth
            for field, (_, spell) in self.columns.items():
                if field not in truth:
                    cells[field] = spell(self)
                elif field not in self.always and self.draw.random() < self.unknown:
                    truth[field], cells[field] = "", self.draw.choice(UNKNOWN)
                else:
                    spelt = spell(self, truth[field])
                    if isinstance(spelt, tuple):
                        spelt, truth[field] = spelt
                    cells[field] = spelt
            yield [None if value == "" else value for value in cells.values()], truth

    def headings(self):
        return [heading for heading, _ in self.columns.values()]


def plain(_, value):
    return value


def words(**spellings):
    """Each word in one of its spellings."""
    table = {key.replace("_", " ").replace("heat pump", "heat-pump").replace("on street", "on-street"): value for key, value in spellings.items()}
    table |= {key.replace("TN C S", "TN-C-S").replace("TN S", "TN-S"): value for key, value in table.items()}
    return lambda hand, value: hand.pick(*table[value])


def say(*forms):
    """A number in one of these forms."""
    return lambda hand, value: hand.pick(*forms).format(value)


def dated(*forms):
    import datetime
    return lambda hand, value: datetime.date.fromisoformat(value).strftime(hand.pick(*forms))


def own(*values):
    return lambda hand: hand.pick(*values)


def tablet():
    return Hand("tablet", {
        "site_id": ("Job Ref", plain), "address": ("Property Address", plain), "postcode": ("Postcode", plain),
        "own_a": ("Submission GUID", own("a41f-09", "77c2-11", "e0b8-4d")), "survey_date": ("Survey Date", dated("%Y-%m-%dT09:12:00Z", "%Y-%m-%dT16:40:31Z")),
        "cutout_rating_a": ("What is the rating of the main fuse? (A)", say("{}", "{}A", "{} A")),
        "looped_service": ("Is the supply looped?", words(yes=["Yes"], no=["No"])),
        "supply_phases": ("Number of phases", lambda h, v: {1: "Single phase", 3: "Three phase"}[v]),
        "earthing_system": ("Earthing arrangement", words(TN_C_S=["TN-C-S (PME)"], TN_S=["TN-S"], TT=["TT (earth rod)"])),
        "isolator_present": ("Isolator present?", words(yes=["Yes"], no=["No"])),
        "tails_mm2": ("Meter tails size (mm2)", say("{}", "{}mm²")),
        "existing_demand_a": ("Maximum demand (A)", plain), "demand_method": ("How was the demand found?", words(measured=["Measured"], calculated=["Calculated"], estimated=["Estimated"])),
        "shower_kw": ("Electric shower (kW)", lambda h, v: "None" if v == 0 else v), "spare_ways": ("Spare ways in board", plain),
        "parking_type": ("Type of parking", words(driveway=["Driveway"], garage=["Garage"], allocated=["Allocated bay"], on_street=["On street"])),
        "parking_distance_m": ("Distance to parking (m)", say("{}", "{}", "{}.0")),
        "own_b": ("Photo link", own("photos/0081.jpg", "photos/0093.jpg")), "own_c": ("Signed by resident", own("Yes", "No")),
    }, rows=45)


def questionnaire():
    return Hand("questionnaire", {
        "address": ("Your address", plain), "postcode": ("Your postcode", plain), "own_a": ("Your name", own("(withheld)")),
        "cutout_rating_a": ("What does it say on your main fuse?", say("{} amps", "It says {}A", "{} amp", "I think {}A", "{}A on the label")),
        "existing_demand_a": ("Maximum demand", say("{} amps", "{}A", "about {} amps")),
        "parking_distance_m": ("How far is it from your fuse board to where you park? Distance to parking", say("about {} metres", "{} metres", "{}m", "roughly {}m", "{} metres or so", "approx {} m")),
        "parking_type": ("Where do you park? (parking type)", words(driveway=["on my drive", "Driveway", "on the drive"], garage=["in the garage", "Garage"], allocated=["I have an allocated space", "allocated space"], on_street=["on the street", "On the road"])),
        "heating": ("How is your home heated? (main heating)", words(gas=["gas central heating", "Gas boiler", "gas"], oil=["oil boiler", "Oil"], storage=["storage heaters", "Night storage heaters"], heat_pump=["air source heat pump", "heat pump"])),
        "shower_kw": ("Do you have an electric shower?", lambda h, v: h.pick("No", "no", "no electric shower") if v == 0 else h.pick("Yes, {}kW", "{} kW", "yes - {} kw").format(v)),
        "bedrooms": ("How many bedrooms are there?", lambda h, v: h.pick(str(v), f"{v} bedrooms", ["", "one", "two", "three", "four", "five"][v])),
        "solar_kw": ("Solar panels", lambda h, v: h.pick("No", "none") if v == 0 else h.pick("Yes {}kW", "{} kWp").format(v)),
        "year_built": ("When was it built? (year built)", lambda h, v: h.pick(str(v), f"{v}", (f"about {v}", v))),
        "listed": ("Is the building listed?", words(yes=["Yes, grade II", "Yes", "yes it is"], no=["No", "no", "not that I know"])),
    }, rows=36)


def housing():
    return Hand("housing", {
        "site_id": ("PROP_REF", plain), "uprn": ("UPRN", plain), "address": ("FULL_ADDRESS", plain), "postcode": ("POSTCODE", plain),
        "premises_type": ("PROPERTY_TYPE", words(house=["HOUSE", "BUNGALOW", "MID TERRACE", "END TERRACE"], flat=["FLAT", "MAISONETTE", "GF FLAT"])),
        "tenure": ("TENURE", words(social_rent=["SOCIAL RENT", "GENERAL NEEDS"], owner=["OWNER OCCUPIER", "FREEHOLD"], private_rent=["PRIVATE RENT"], shared=["SHARED OWNERSHIP"])),
        "bedrooms": ("BEDS", plain), "year_built": ("BUILD_YEAR", plain), "heating": ("HEATING_TYPE", words(gas=["GAS CH", "GAS COMBI"], oil=["OIL"], storage=["ELEC STORAGE", "STORAGE HEATERS"], heat_pump=["ASHP", "AIR SOURCE HP"])),
        "cutout_rating_a": ("MAIN_FUSE_A", plain), "existing_demand_a": ("MAX_DEMAND_A", lambda h, v: h.pick(f"{v},0", f"{v}")),
        "parking_type": ("PARKING_TYPE", words(driveway=["DRIVE", "DRIVEWAY"], garage=["GARAGE"], allocated=["ALLOCATED"], on_street=["ON STREET", "ON-STREET"])),
        "parking_distance_m": ("CABLE_RUN_M", lambda h, v: h.pick(f"{v},0", f"{v}", f"{v},00")),
        "survey_date": ("SURVEY_DATE", dated("%d.%m.%Y")), "own_a": ("PATCH", own("NORTH", "EAST", "SOUTH")), "own_b": ("RENT_GBP_PW", own("101,20", "98,75")),
        "consent_status": ("CONSENT_STATUS", words(not_needed=["NOT REQUIRED"], granted=["APPROVED", "GRANTED"], asked=["PENDING", "REQUESTED"], not_asked=["NOT REQUESTED"], refused=["REFUSED", "DECLINED"])),
        "listed": ("LISTED_YN", words(yes=["Y"], no=["N"])),
    }, rows=55)


def notebook():
    return Hand("notebook", {
        "address": ("Addr", plain), "cutout_rating_a": ("fuse", say("{}A", "{}", "{} A", "{}a")),
        "existing_demand_a": ("MD", say("{}A", "{}", "~{}A", "{} est")), "parking_distance_m": ("run", say("{}m", "{}", "c. {}m", "{}m ish", "{} mtrs")),
        "earthing_system": ("earth", words(TN_C_S=["PME", "TNCS", "TN-C-S", "pme"], TN_S=["TNS", "TN-S", "lead sheath"], TT=["TT", "rod", "TT rod"])),
        "ze_ohm": ("Ze", lambda h, v: h.pick(f"{v}", f"{v:g}Ω", f"{v:g}".lstrip("0"))), "fault_level_ka": ("pfc", say("{}kA", "{}", "{} kA")),
        "tails_mm2": ("tails", say("{}", "{}mm", "{} sq")), "looped_service": ("looped", words(yes=["✓"], no=["✗"])),
        "isolator_present": ("isolator", words(yes=["✓"], no=["✗"])), "board_type": ("CU", words(metal=["metal", "metal clad", "steel"], plastic=["plastic", "plas"], rewireable=["rewireable", "old rewireable", "rewirable"])),
        "spare_ways": ("spare ways", lambda h, v: h.pick(str(v), "none", "full") if v == 0 else h.pick(str(v), f"{v} spare")),
        "board_rcd_type": ("rcd", words(AC=["AC", "type AC"], A=["A", "type A"], none=["none", "no rcd"])), "walls": ("walls", plain),
        "ground_surface": ("ground", words(soft=["lawn", "grass", "soil"], block=["block paving", "blocks"], tarmac=["tarmac"], concrete=["concrete", "conc"])),
    }, rows=32)


def network():
    def kilovolt_amperes(hand, value):
        """Of all phases together, as operators write it; the truth is the current in each."""
        volts = 0.23 * hand.now["supply_phases"]
        written = round(value * volts, 2)
        return written, round(written / volts, 3)
    hand = Hand("network", {
        "mpan": ("MPAN Core", lambda h, v: h.pick(v, f"{v[:2]} {v[2:6]} {v[6:10]} {v[10:]}")), "address": ("Premises Address", lambda h, v: v.upper()), "postcode": ("Post Code", plain),
        "supply_phases": ("Phases", lambda h, v: {1: h.pick("1", "1PH", "SP"), 3: h.pick("3", "3PH", "TPN")}[v]),
        "cutout_rating_a": ("Cut-Out Rating (A)", plain), "earthing_system": ("Earthing", words(TN_C_S=["PME", "CNE", "TN-C-S"], TN_S=["SNE", "TN-S"], TT=["TT"])),
        "looped_service": ("Looped Service", words(yes=["LOOPED", "Y"], no=["NOT LOOPED", "N"])), "fault_level_ka": ("Fault Level (kA)", plain),
        "existing_demand_a": ("Est. Max Demand (kVA)", kilovolt_amperes), "own_a": ("Profile Class", own("01", "02")), "own_b": ("Substation No", own("61-0413", "61-0977")),
        "parking_distance_m": ("Customer Cable Route Length (m)", plain), "requested_kw": ("Charger Rating (kW)", plain),
    }, rows=50)
    hand.always.add("supply_phases")
    return hand


def feet():
    def length(hand, value):
        written = round(value / 0.3048)
        return hand.pick(str(written), f"{written} ft", f"{written}'", f"{written}ft"), round(written * 0.3048, 3)
    return Hand("feet", {
        "site_id": ("No.", plain), "address": ("Location", plain), "cutout_rating_a": ("Main fuse amps", say("{}", "{} amps", "{} Amp")),
        "existing_demand_a": ("Demand (amps)", say("{}", "{} amps")), "parking_distance_m": ("Cable run (feet)", length),
        "tails_mm2": ("Tails", say("{} sq mm", "{}sqmm", "{} mm2")), "earthing_system": ("Earthing", words(TN_C_S=["P.M.E.", "T.N.C.S."], TN_S=["T.N.S.", "cable sheath"], TT=["T.T.", "earth electrode"])),
        "supply_phases": ("Phases", lambda h, v: {1: "One", 3: "Three"}[v]), "survey_date": ("Date visited", dated("%d/%m/%y", "%d %b %Y", "%d-%b-%y")),
        "parking_type": ("Parking", words(driveway=["Drive", "Own drive"], garage=["Garage"], allocated=["Allocated", "Numbered bay"], on_street=["Street", "Road side"])),
        "heating": ("Heating", words(gas=["Gas", "Mains gas"], oil=["Oil"], storage=["Night storage", "E7 storage"], heat_pump=["Heat pump", "A.S.H.P."])),
    }, rows=34)


def capitals():
    return Hand("capitals", {
        "site_id": ("SITE CODE", plain), "address": ("SITE ADDRESS", lambda h, v: v.upper()), "postcode": ("P/CODE", lambda h, v: v.replace(" ", "")),
        "premises_type": ("TYPE", words(house=["DET", "SEMI", "MID TERR", "END TERR", "BUNG"], flat=["FLAT", "MAIS"])),
        "tenure": ("TENURE", words(social_rent=["SOC RENT", "SR"], owner=["OO", "OWN OCC"], private_rent=["PRS", "PR"], shared=["SO", "SHARED"])),
        "supply_phases": ("PH", lambda h, v: {1: h.pick("1PH", "1"), 3: h.pick("3PH", "3")}[v]), "cutout_rating_a": ("C/O RATING", say("{}A", "{}")),
        "existing_demand_a": ("MAX DEMAND", say("{}A", "{}")), "demand_method": ("MD BASIS", words(measured=["MEAS", "LOGGED"], calculated=["CALC"], estimated=["EST"])),
        "looped_service": ("LOOPED Y/N", words(yes=["Y"], no=["N"])), "isolator_present": ("ISOLATOR Y/N", words(yes=["Y"], no=["N"])),
        "earthing_system": ("EARTHING", words(TN_C_S=["TNCS", "PME"], TN_S=["TNS"], TT=["TT"])), "board_type": ("CU TYPE", words(metal=["MET", "METAL"], plastic=["PLAS", "PLASTIC"], rewireable=["REWIRE", "REWIREABLE"])),
        "parking_type": ("PARKING", words(driveway=["DRIVE", "DWAY"], garage=["GGE", "GARAGE"], allocated=["ALLOC", "ALLOC BAY"], on_street=["STREET", "ON ST"])),
        "parking_distance_m": ("DIST TO PARKING", say("{}M", "{}", "{} M")), "ground_surface": ("SURFACE", words(soft=["GRASS", "SOFT"], block=["BLOCK", "BLK PAV"], tarmac=["TARMAC", "TMAC"], concrete=["CONC", "CONCRETE"])),
        "points_wanted": ("NO OF EVCP", plain), "requested_kw": ("EVCP KW", say("{}", "{}KW")),
    }, rows=48)


def blocks():
    return Hand("blocks", {
        "lot": ("Lot", lambda hand: ""), "address": ("Address", plain), "cutout_rating_a": ("Rating", say("{} A", "{}")), "supply_phases": ("Phases", plain),
        "looped_service": ("Looped", words(yes=["Yes"], no=["No"])), "existing_demand_a": ("Max demand", say("{} A", "{}")), "shower_kw": ("Shower", lambda h, v: "None" if v == 0 else h.pick(v, f"{v} kW")),
        "heating": ("Heating", words(gas=["Gas"], oil=["Oil"], storage=["Storage"], heat_pump=["Heat pump"])), "parking_type": ("Type", words(driveway=["Driveway"], garage=["Garage"], allocated=["Allocated"], on_street=["On-street"])),
        "parking_distance_m": ("Cable run", say("{} m", "{}")), "ground_surface": ("Surface", words(soft=["Grass verge", "Soft"], block=["Block paving"], tarmac=["Tarmac"], concrete=["Concrete"])),
    }, rows=36)


def register():
    def smudged(hand, value):
        text = str(value)
        return hand.pick(text, text, text.replace("0", "O") + "A", text.replace("1", "l") + "A", text + " A.")
    return Hand("register", {
        "site_id": ("Ref. No.", plain), "address": ("Address of property", plain), "cutout_rating_a": ("Size of main fuse", smudged), "existing_demand_a": ("Assessed demand", smudged),
        "parking_distance_m": ("Length of cable run", lambda h, v: h.pick(f"{v} m", f"{v}m.", (f"{v}-{v + 4}m", f"{v}..{v + 4}"), (f"{v} to {v + 3} m", f"{v}..{v + 3}"))),
        "earthing_system": ("Means of earthing", words(TN_C_S=["PME", "P.M.E."], TN_S=["sheath", "cable sheath", "TN-S"], TT=["electrode", "TT"])), "looped_service": ("Looped with neighbour", words(yes=["yes", "Yes - looped"], no=["no", "No"])),
        "survey_date": ("Date inspected", dated("%d.%m.%y", "%d/%m/%Y", "%d %B %Y")), "year_built": ("Year built", plain),
        "isolator_present": ("Isolator", words(yes=["fitted", "present"], no=["not fitted", "none"])),
    }, rows=60, unknown=0.04)


def fleet():
    """A fleet office: depots and workplaces, so its truth is drawn apart."""
    d = random.Random("style fleet")
    head = ["Depot", "Site address", "Incoming device (A)", "Agreed capacity", "Peak kVA last 12 months", "Phases", "Metering", "Bays", "Vans", "Miles per day", "Back at", "Leave", "Distance to bays", "Points", "kW wanted", "Premises type"]
    rows, truths = [], []
    for number in range(1, 31):
        device, capacity = d.choice([(100, 69), (200, 138), (315, 200), (400, 250), (630, 400)])
        peak, bays, vans = round(capacity * d.choice([0.35, 0.5, 0.62])), d.randint(4, 40), d.randint(3, 30)
        miles, back, leave = d.randint(30, 90), d.choice([16.5, 17, 18.25, 19]), d.choice([6, 6.5, 7])
        distance, points, power, kind = d.choice([18, 25, 40, 65]), d.randint(2, 12), d.choice([7.4, 11, 22]), d.choice(["depot", "workplace"])
        clock = lambda h: d.choice([f"{int(h):02d}:{int(h % 1 * 60):02d}", f"{int(h):02d}{int(h % 1 * 60):02d}", f"{(int(h) - 1) % 12 + 1}{':30' if h % 1 == 0.5 else ':15' if h % 1 else ''}{'pm' if h >= 12 else 'am'}"])
        rows.append([f"DP{number:02d}", f"Unit {number}, Weir Trading Estate, Tarnholt", d.choice([device, f"{device}A", f"{device} A MCCB"]), d.choice([f"{capacity} kVA", f"{capacity}kVA", capacity]), d.choice([peak, f"{peak} kVA"]), d.choice(["3", "TPN", "three phase"]),
                     d.choice(["CT", "CT metered", "LV CT"]), bays, vans, d.choice([miles, f"{miles} miles", f"{miles} mi"]), clock(back), clock(leave), d.choice([f"{distance}m", distance, f"{distance} metres"]), points, d.choice([power, f"{power}kW", f"{power} kW"]),
                     {"depot": d.choice(["Depot", "Van depot"]), "workplace": d.choice(["Office", "Workplace"])}[kind]])
        truths.append({"site_id": f"DP{number:02d}", "address": f"Unit {number}, Weir Trading Estate, Tarnholt", "cutout_rating_a": device, "agreed_capacity_kva": capacity, "recorded_peak_kva": peak, "supply_phases": 3, "metering": "CT", "bays": bays, "vehicles": vans,
                       "daily_miles": miles, "arrive": back, "depart": leave, "parking_distance_m": distance, "points_wanted": points, "requested_kw": power, "premises_type": kind})
    made, _ = book([["Fleet electrification: depot data sheet"], ["Fill in one line a depot. Ask the energy team for capacity."], [], head, *rows])
    (FOLDER / "fleet.xlsx").write_bytes(saved(made))
    keep("fleet", [(5 + at, truth) for at, truth in enumerate(truths)])


def keep(name, truths):
    """Writes the clean table."""
    fields = list(dict.fromkeys(field for _, truth in truths for field in truth))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["row", *fields])
    writer.writerows([row, *(truth.get(field, "") for field in fields)] for row, truth in truths)
    (FOLDER / f"{name}-truth.csv").write_text(out.getvalue())


def workbook(hand, above=(), change=None):
    rows, truths = zip(*hand.written())
    made, sheet = book([*above, hand.headings(), *rows])
    if change:
        change(made, sheet)
    (FOLDER / f"{hand.name}.xlsx").write_bytes(saved(made))
    keep(hand.name, [(len(above) + 2 + at, truth) for at, truth in enumerate(truths)])


def text(hand, ending, delimiter, encoding, breaks=None):
    """Delimited text; `breaks` puts lines between the rows."""
    lines, truths, row = [hand.headings()], [], 1
    for at, (cells, truth) in enumerate(hand.written()):
        for line in breaks(hand, at) if breaks else []:
            lines.append(line)
            row += 1
        lines.append(["" if cell is None else cell for cell in cells])
        row += 1
        truths.append((row, truth))
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerows(lines)
    (FOLDER / f"{hand.name}.{ending}").write_bytes(out.getvalue().encode(encoding))
    keep(hand.name, truths)


def make():
    FOLDER.mkdir(exist_ok=True)
    text(tablet(), "csv", ",", "utf-8-sig")
    workbook(questionnaire(), [["Thank you for answering our questions about charging at home"]])
    text(housing(), "csv", ";", "cp1252")
    workbook(notebook())
    fleet()
    text(network(), "csv", ",", "utf-8")
    workbook(feet())
    def legend(made, _):
        sheet = made.create_sheet("CODES")
        for row in [["CODE", "MEANING"], ["SR", "SOCIAL RENT"], ["OO", "OWNER OCCUPIER"], ["PRS", "PRIVATE RENTED SECTOR"], ["SO", "SHARED OWNERSHIP"]]:
            sheet.append(row)
    workbook(capitals(), [["CHARGE POINT SURVEY - ALL DISTRICTS"], []], legend)
    merged_blocks()
    def pages(hand, at):
        return [] if at == 0 or at % 15 else [[f"Page {at // 15} of 4"], hand.headings()]
    text(register(), "txt", "\t", "utf-16", pages)


def merged_blocks():
    """Lots of six homes, each lot's name merged over its rows; groups of columns under merged titles."""
    hand = blocks()
    groups = ["", "", "Cut-out", None, None, "Loads", None, None, "Parking", None, None]
    rows, truths = [], []
    for at, (cells, truth) in enumerate(hand.written()):
        lot = f"Lot {at // 6 + 1}"
        cells[0] = lot if at % 6 == 0 else None
        rows.append(cells)
        truths.append((3 + at, {"lot": lot} | truth))
    made, sheet = book([groups, hand.headings(), *rows])
    for reach in ("C1:E1", "F1:H1", "I1:K1"):
        sheet.merge_cells(reach)
    for first in range(3, 3 + len(rows), 6):
        sheet.merge_cells(start_row=first, end_row=first + 5, start_column=1, end_column=1)
    (FOLDER / f"{hand.name}.xlsx").write_bytes(saved(made))
    keep(hand.name, truths)


make()
