"""What the ten sheets share: invented facts, columns that give cell and truth together, writers."""
import csv, datetime as dt, os, random, re, shutil, subprocess, tempfile, zipfile

STREETS = ["Tallow Row", "Quillet Lane", "Marrable Close", "Hobbin Way", "Dunnock Rise", "Skerrit Street",
           "Old Ropewalk", "Pinfold Drift", "Lanner Avenue", "Cobbler's Yard", "Withy Crescent", "Farrow Gate",
           "Brindle Road", "Saltpan Lane", "Mossop Terrace", "Thimble Hill"]
PLACES = ["Oxmarble", "Nether Wickle", "Thrupley Parva", "Garstoe", "Pelldon", "Cray Bassingham", "Wexcote Regis",
          "Stallowmere", "Harrabeck", "Little Umberley", "Dunsop Quay", "Fenny Tarrow"]
AREA = dict(zip(PLACES, ["QX1", "QX2", "QX4", "QX7", "ZY1", "ZY3", "ZY5", "QX9", "ZY8", "QX11", "ZY12", "QX14"]))


def rng(name):
    return random.Random("heldout-2026-" + name)


def pick(r, weights):
    return r.choices(list(weights), list(weights.values()))[0]


def postcode(r, place):
    return f"{AREA[place]} {r.randint(1, 9)}{r.choice('ABDEFGHJLN')}{r.choice('PQRSTUWXYZ')}"


def mpan(r, dno):
    body = f"{dno}{r.randint(0, 10**10 - 1):010d}"
    primes = (3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43)
    return body + str(sum(int(d) * p for d, p in zip(body, primes)) % 11 % 10)


def num(x):
    if isinstance(x, float):
        return f"{x:.5f}".rstrip("0").rstrip(".")
    return str(x)


def home(r, place=None):
    """One home whose facts hang together."""
    s = {}
    s["place"] = place or r.choice(PLACES)
    s["street"] = r.choice(STREETS)
    s["no"] = r.randint(1, 96)
    s["postcode"] = postcode(r, s["place"])
    s["premises_type"] = pick(r, {"house": 7, "flat": 3})
    s["year_built"] = r.choice([r.randint(1880, 1939), r.randint(1946, 1969), r.randint(1970, 1990),
                                r.randint(1991, 2022)])
    y = s["year_built"]
    s["bedrooms"] = r.choice([1, 2] if s["premises_type"] == "flat" else [2, 3, 3, 3, 4])
    s["tenure"] = pick(r, {"social rent": 6, "owner": 2, "leasehold": 1, "shared": 1, "private rent": 1})
    s["heating"] = pick(r, {"gas": 8, "oil": 2, "storage": 2, "direct": 1, "heat-pump": 2, "communal": 1, "other": 1})
    s["supply_phases"] = 3 if r.random() < .05 else 1
    s["cutout_rating_a"] = pick(r, {60: 4, 80: 4, 100: 5} if y < 1990 else {80: 4, 100: 7, 60: 1})
    s["cutout_evidence"] = pick(r, {"fuse": 3, "label": 4, "carrier": 2, "operator": 2, "assumed": 2})
    s["cutout_condition"] = pick(r, {"sound": 9, "doubtful": 1.5, "unsafe": .7})
    s["looped_service"] = "yes" if r.random() < (.18 if y < 1970 else .03) else "no"
    s["tails_mm2"] = 25 if s["cutout_rating_a"] > 60 and r.random() < .75 else 16
    s["isolator_present"] = pick(r, {"yes": 4, "no": 6})
    s["earthing_system"] = pick(r, {"TN-S": 5, "TN-C-S": 4, "TT": 1} if y < 1975 else {"TN-S": 2, "TN-C-S": 7, "TT": 1})
    s["ze_ohm"] = {"TN-S": round(r.uniform(.15, .75), 2), "TN-C-S": round(r.uniform(.08, .33), 2),
                   "TT": r.randint(14, 140)}[s["earthing_system"]]
    s["electrode_position"] = pick(r, {"yes": 6, "no": 4})
    s["fault_level_ka"] = round(r.uniform(.7, 3.4), 1)
    s["main_bonding_mm2"] = pick(r, {10: 7, 6: 1, 16: 1})
    s["earthing_conductor_mm2"] = pick(r, {16: 7, 10: 2, 6: 1})
    s["shower_kw"] = pick(r, {0: 4, 7.5: 1, 8.5: 3, 9.5: 3, 10.5: 1})
    s["cooker_kw"] = pick(r, {0: 3, 7.2: 2, 9: 1, 10.5: 2, 12: 1})
    s["water_heater_kw"] = pick(r, {0: 5, 3: 5})
    s["heat_pump_kw"] = r.choice([2.2, 2.8, 3.5, 4]) if s["heating"] == "heat-pump" else 0
    s["solar_kw"] = pick(r, {0: 7, 2.4: 1, 3.6: 2, 4: 1})
    s["battery_kw"] = r.choice([0, 3.6, 5]) if s["solar_kw"] else 0
    amps = r.randint(18, 36) + (s["shower_kw"] * 1.4) + (14 if s["heating"] in ("storage", "direct") else 0)
    s["existing_demand_a"] = int(min(amps, s["cutout_rating_a"] * .92))
    s["existing_demand_kw"] = round(s["existing_demand_a"] * .23 * .95, 1)
    s["demand_method"] = pick(r, {"calculated": 5, "estimated": 4, "measured": 2})
    s["board_type"] = pick(r, {"metal": 5, "plastic": 5, "rewireable": 1.5})
    s["board_condition"] = pick(r, {"sound": 8, "doubtful": 2, "unsafe": .5})
    s["board_main_switch_a"] = r.choice([80, 100, 100, 63] if s["bedrooms"] < 2 else [100, 100, 80])
    s["spare_ways"] = r.choice([0, 0, 1, 1, 2, 2, 3, 4])
    s["board_rcd_type"] = pick(r, {"AC": 5, "A": 5, "none": 2})
    s["surge_protection"] = "yes" if y > 2018 or r.random() < .2 else "no"
    s["condition_report"] = pick(r, {"satisfactory": 7, "C3": 2, "C2": 2, "FI": 1, "C1": .4, "none": 1})
    s["condition_report_date"] = dt.date(2017, 1, 4) + dt.timedelta(days=r.randint(0, 3400))
    s["meter_to_board_m"] = r.choice([.5, 1, 1, 1.5, 2, 3, 4.5])
    s["parking_type"] = pick(r, {"driveway": 8, "garage": 2, "allocated": 3, "communal": 3, "on-street": 1.5, "none": .5}
                             if s["premises_type"] == "house" else {"allocated": 4, "communal": 6, "on-street": 1})
    s["d"] = r.randint(5, 24) if s["premises_type"] == "house" else r.randint(14, 48)
    s["ground_surface"] = pick(r, {"soft": 3, "block": 3, "tarmac": 4, "concrete": 3, "footway": .7})
    s["listed"] = "yes" if y < 1920 and r.random() < .2 else "no"
    s["asbestos_on_route"] = "yes" if y < 1985 and r.random() < .15 else "no"
    s["consent_status"] = pick(r, {"not needed": 5, "not asked": 4, "asked": 2, "granted": 3, "refused": .5})
    s["survey_date"] = dt.date(2026, 2, 2) + dt.timedelta(days=r.randint(0, 250))
    s["survey_method"] = pick(r, {"visit": 6, "photo": 3, "phone": 2, "desk": 2, "operator": .5})
    s["requested_kw"] = pick(r, {"7.4": 8, "3.6": 1, "22": .7 if s["supply_phases"] == 3 else .01})
    s["tethered"] = pick(r, {"yes": 5, "no": 5})
    return s


# What a writer leaves blank when the figure it speaks of is not known.
RESTS_ON = {"cutout_evidence": {"cutout_rating_a"}, "demand_method": {"existing_demand_a", "existing_demand_kw"},
            "distance_from": {"parking_distance_m"}}


class Sheet:
    """Rows of cells; a site row also leaves its truth."""
    def __init__(self, name, cols, indent=0, blank=""):
        self.name, self.cols, self.indent, self.blank = name, cols, indent, blank
        self.rows, self.truth, self.merges, self.look = [], [], [], {}

    def line(self, *cells, look=None, indent=True):
        self.rows.append([None] * (self.indent if indent else 0) + list(cells))
        if look:
            self.look[len(self.rows)] = look
        return len(self.rows)

    def heads(self, part=1):
        return self.line(*[c[0] if isinstance(c[0], str) else c[0][part] for c in self.cols], look="head")

    def groups(self):
        """A row of group titles, each merged over its columns (heading = (group, heading))."""
        names = [c[0][0] for c in self.cols]
        row = self.line(*[n if i == 0 or names[i - 1] != n else None for i, n in enumerate(names)], look="head")
        start = 0
        for i in range(1, len(names) + 1):
            if i == len(names) or names[i] != names[start]:
                if i - start > 1 and names[start]:
                    self.merges.append((row, self.indent + start + 1, row, self.indent + i))
                start = i
        return row

    def site(self, s):
        cells, truth, address = [], {}, []
        for _, make in self.cols:
            cell, said = make(s)
            if any(k in RESTS_ON and not RESTS_ON[k] & {*truth, *said} for k in said):
                cell, said = self.blank, {}
            cells.append(cell)
            for k, v in said.items():
                if k == "_address":
                    address.append(v)
                elif v not in ("", None):
                    truth[k] = v.isoformat() if isinstance(v, dt.date) else num(v)
        truth["address"] = ", ".join(address)
        row = self.line(*cells)
        self.truth.append({"row": row, **truth})
        return row

    def write_truth(self, out):
        stem = os.path.splitext(self.name)[0]
        fields = []
        for t in self.truth:
            fields += [k for k in t if k not in fields]
        with open(os.path.join(out, stem + "-truth.csv"), "w", newline="", encoding="utf-8") as f:
            w = csv.DictWriter(f, fields, restval="")
            w.writeheader()
            w.writerows(self.truth)


# --- columns: each is a function of the site giving (cell, {field: truth}) ---

def own(make):
    return lambda s: (make(s), {})


def part(make):
    return lambda s: (make(s), {"_address": str(make(s))})


def plain(field, fmt=lambda v: v):
    return lambda s: (fmt(s[field]), {field: s[field]})


def words(r, field, vocab):
    """vocab: truth -> spellings this writer uses."""
    return lambda s: (r.choice(vocab[s[field]]), {field: s[field]})


def gap(r, p, blanks, column):
    """Sometimes the writer does not know: a blank or their word for it; truth stays empty."""
    def make(s):
        cell, said = column(s)
        if r.random() < p:
            return r.choice(blanks), {k: v for k, v in said.items() if k == "_address"}
        return cell, said
    return make


def sometimes(r, p, usual, other):
    return lambda s: (other if r.random() < p else usual)(s)


def always(column, **said):
    """What the heading itself states, where the cell states something."""
    def make(s):
        cell, t = column(s)
        return cell, ({**t, **said} if t else t)
    return make


def span(field, low, high, fmt, scale=1.0):
    """A range as written; truth low..high in the contract's unit."""
    def make(s):
        a, b = low(s), high(s)
        return fmt(a, b), {field: f"{num(round(a * scale, 2))}..{num(round(b * scale, 2))}"}
    return make


def length(unit, fmt, field="parking_distance_m", key="d", to=1):
    """A length written in whole units of ft, yd, m or mm; truth in metres."""
    scale = {"ft": .3048, "yd": .9144, "m": 1.0, "mm": .001}[unit]
    def make(s):
        n = max(1, round(s[key] / scale / to)) * to
        return fmt(n), {field: round(n * scale, 2)}
    return make


# --- writers ---

def openpyxl_file(sheet, path, title="Sheet1", widths=None, before=(), freeze=None):
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font, PatternFill
    wb = Workbook()
    ws = wb.active
    for name, rows in before:
        ws.title = name
        for row in rows:
            ws.append(row)
        ws = wb.create_sheet()
    ws.title = title
    for i, row in enumerate(sheet.rows, 1):
        for j, v in enumerate(row, 1):
            if v is None or v == "":
                continue
            c = ws.cell(i, j, v)
            if isinstance(v, dt.date):
                c.number_format = "DD/MM/YYYY"
            if isinstance(v, dt.time):
                c.number_format = "HH:MM"
            if sheet.look.get(i) == "head":
                c.font, c.fill = Font(bold=True), PatternFill("solid", fgColor="DDE6EE")
                c.alignment = Alignment(wrap_text=True, vertical="center")
            elif sheet.look.get(i) in ("title", "total"):
                c.font = Font(bold=True, size=14 if sheet.look[i] == "title" else 11)
    for a, b, c, d in sheet.merges:
        ws.merge_cells(start_row=a, start_column=b, end_row=c, end_column=d)
    if freeze:
        ws.freeze_panes = freeze
    wb.properties.created = dt.datetime(2026, 11, 20)
    wb.save(path)
    parts = [(n, zipfile.ZipFile(path).read(n)) for n in zipfile.ZipFile(path).namelist()]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as z:      # same bytes every run: no clock in the parts
        for n, data in parts:
            if n == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2026-11-20T00:00:00Z", data)
            z.writestr(zipfile.ZipInfo(n, (2026, 11, 20, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)


def xlsxwriter_file(sheet, path, title="Sheet1", before=()):
    import xlsxwriter
    wb = xlsxwriter.Workbook(path)
    wb.set_properties({"created": dt.datetime(2026, 11, 20)})
    f = {"head": wb.add_format({"bold": 1, "text_wrap": 1, "border": 1, "bg_color": "#F2E6CF"}),
         "title": wb.add_format({"bold": 1, "font_size": 15}), "total": wb.add_format({"bold": 1, "top": 1}),
         None: None}
    date, time = wb.add_format({"num_format": "dd-mmm-yy"}), wb.add_format({"num_format": "hh:mm"})
    for name, rows in before:
        ws = wb.add_worksheet(name)
        for i, row in enumerate(rows):
            ws.write_row(i, 0, row)
    ws = wb.add_worksheet(title)
    merged = {}
    for a, b, c, d in sheet.merges:
        merged[(a, b)] = (c, d)
    for i, row in enumerate(sheet.rows, 1):
        look = f[sheet.look.get(i)]
        for j, v in enumerate(row, 1):
            if (i, j) in merged:
                c, d = merged[(i, j)]
                ws.merge_range(i - 1, j - 1, c - 1, d - 1, v, look)
            elif isinstance(v, dt.date):
                ws.write_datetime(i - 1, j - 1, dt.datetime(v.year, v.month, v.day), date)
            elif isinstance(v, dt.time):
                ws.write_datetime(i - 1, j - 1, v, time)
            elif v is not None and v != "":
                ws.write_string(i - 1, j - 1, v, look) if isinstance(v, str) else ws.write_number(i - 1, j - 1, v, look)
    ws.set_column(0, 40, 14)
    wb.close()


def csv_file(sheet, path, sep=",", encoding="utf-8", eol="\r\n", quoting=csv.QUOTE_MINIMAL):
    with open(path, "w", newline="", encoding=encoding) as f:
        w = csv.writer(f, delimiter=sep, lineterminator=eol, quoting=quoting)
        for row in sheet.rows:
            w.writerow(["" if v is None else v for v in row] + [""] * (len(sheet.cols) - len(row)))


def through_office(sheet, path, **kw):
    """Write xlsx, then let LibreOffice save it as what the path's ending says."""
    ext = os.path.splitext(path)[1][1:]
    with tempfile.TemporaryDirectory() as t:
        stem = os.path.splitext(os.path.basename(path))[0]
        openpyxl_file(sheet, os.path.join(t, stem + ".xlsx"), **kw)
        subprocess.run(["soffice", f"-env:UserInstallation=file://{t}/profile", "--headless", "--convert-to", ext,
                        "--outdir", os.path.join(t, "o"), os.path.join(t, stem + ".xlsx")],
                       check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=180)
        shutil.copy(os.path.join(t, "o", f"{stem}.{ext}"), path)
