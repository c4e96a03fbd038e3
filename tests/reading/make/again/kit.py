"""Shared kit: columns that give a cell and its truth together; writers for each format."""
import csv, datetime as dt, io, os, random, shutil, subprocess, tempfile

FIELDS = """site_id uprn address postcode nation premises_type tenure lot priority survey_date survey_method latitude
longitude notes override_verdict override_by override_date override_why mpan distributor metering supply_present unmetered
supply_phases cutout_rating_a cutout_evidence cutout_condition looped_service tails_mm2 isolator_present earthing_system
ze_ohm electrode_position fault_level_ka main_bonding_mm2 agreed_capacity_kva recorded_peak_kva feeder_id existing_demand_a
existing_demand_kw demand_method bedrooms heating shower_kw cooker_kw water_heater_kw heat_pump_kw solar_kw battery_kw
existing_charge_points board_type board_condition board_main_switch_a earthing_conductor_mm2 condition_report
condition_report_date submain_mm2 submain_device_a spare_ways board_rcd_type surge_protection meter_to_board_m parking_type
bays parking_distance_m distance_from route_indoor_m route_surface_m route_buried_m ground_surface walls insulated_length_m
ambient_c grouped_circuits covered_parking storeys inlet_position parking_orientation tethered mobile_signal listed
consent_status wayleave_status year_built asbestos_on_route points_wanted requested_kw vehicles daily_miles miles_per_kwh
arrive depart""".split()

PLACES = ["Ottlemere", "Brensholt", "Marvleigh", "Eskerthwaite", "Pellingstow", "Yarrowfold", "Thistlewade", "Grimmerby",
          "Hollenstow", "Vennacombe", "Skelderton", "Quillhampton"]
ROADS = ["Mill Lane", "Station Road", "Chapel Street", "Orchard Close", "Tannery Row", "Bakers Field", "Low Road",
         "Kiln Crescent", "Weir Street", "Larch Avenue", "Foundry Way", "Old Drove", "Plover Drive", "Green End",
         "Cooper Street", "Abbot's Walk", "Quarry Hill", "Meadow View", "Harness Lane", "Beck Side"]


def num(v, places=2):
    """A number as short text: 12 not 12.0."""
    t = f"{round(v + 1e-9, places):.{places}f}"
    return t.rstrip("0").rstrip(".") if "." in t else t


def postcode(r, area):
    return f"{area}{r.randint(1, 19)} {r.randint(1, 9)}{r.choice('ABDEFGHJLNPQRSTUWXYZ')}{r.choice('ABDEFGHJLNPQRSTUWXYZ')}"


def mpan(r, dist):
    while True:
        d = [int(c) for c in f"{dist}{r.randrange(10**10):010d}"]
        c = sum(a * b for a, b in zip(d, (3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43))) % 11 % 10
        if len(set(d)) > 4:
            return "".join(map(str, d)) + str(c)


def weighted(r, opts):
    """opts: (shown, truth[, weight])"""
    return r.choices(opts, [o[2] if len(o) > 2 else 1 for o in opts])[0]


def choice(field, opts, blank=0.04, unknown=()):
    """A cell out of a list of words; truth is the word's meaning (None = no fact)."""
    def f(s, r):
        if r.random() < blank:
            return (r.choice(unknown) if unknown and r.random() < .6 else None), {}
        shown, truth = weighted(r, opts)[:2]
        return shown, ({} if truth is None else {field: str(truth)})
    return f


def number(field, gen, styles=("{}",), blank=0.04, unknown=(), conv=1.0, ranges=(), range_p=0.0, extra=None, places=2):
    """A figure. styles: '{}' is a real number cell, others are text. ranges: ('{}-{}', [(lo, hi)...])."""
    def f(s, r):
        if r.random() < blank:
            return (r.choice(unknown) if unknown and r.random() < .6 else None), {}
        more = dict(extra or {})
        if ranges and r.random() < range_p:
            form, pairs = ranges
            lo, hi = r.choice(pairs)
            return form.format(num(lo), num(hi)), {field: f"{num(lo * conv, places)}..{num(hi * conv, places)}", **more}
        v = gen(s, r)
        if v is None:
            return None, {}
        style = r.choice(styles)
        shown = (int(v) if float(v).is_integer() else round(v, 4)) if style == "{}" else style.format(num(v))
        return shown, {field: num(v * conv, places), **more}
    return f


def text(field, gen, blank=0.0):
    def f(s, r):
        v = None if r.random() < blank else gen(s, r)
        return v, ({field: str(v)} if v not in (None, "") else {})
    return f


def own(gen, blank=0.0):
    return lambda s, r: ((None if r.random() < blank else gen(s, r)), {})


def needs(field, inner):
    """An empty cell where the field it leans on was not stated earlier in the row."""
    return lambda s, r: inner(s, r) if field in s["_told"] else (None, {})


def addr(key):
    """A part of the address; the parts are joined in sheet order."""
    def f(s, r):
        v = s[key]
        return (v if v else None), ({"address": str(v)} if v else {})
    return f


def date(field, lo, hi, style="date", blank=0.04, unknown=()):
    """style 'date' is a date cell, else a strftime pattern."""
    def f(s, r):
        if r.random() < blank:
            return (r.choice(unknown) if unknown and r.random() < .6 else None), {}
        d = dt.date.fromordinal(r.randint(dt.date(*lo).toordinal(), dt.date(*hi).toordinal()))
        return (d if style == "date" else d.strftime(style)), {field: d.isoformat()}
    return f


class Sheet:
    def __init__(self, name, seed, cols):
        self.name, self.r, self.cols = name, random.Random(seed), cols
        self.rows, self.truth, self.merges, self.bold, self.sites = [], [], [], set(), []

    def line(self, *cells, bold=False):
        self.rows.append(list(cells))
        if bold:
            self.bold.add(len(self.rows))

    def heads(self):
        self.line(*[c[0] for c in self.cols], bold=True)

    def site(self, s, drop=()):
        """One site; `drop` lists headings left empty for it."""
        cells, truth = [], {}
        s["_told"] = truth
        for head, f in self.cols:
            shown, t = f(s, self.r)
            if head in drop:
                shown, t = None, {}
            cells.append(shown)
            for k, v in t.items():
                assert k in FIELDS, k
                truth[k] = truth["address"] + ", " + v if k == "address" and k in truth else v
        self.rows.append(cells)
        self.truth.append((len(self.rows), truth))
        self.sites.append(cells)

    def total(self, head):
        k = [c[0] for c in self.cols].index(head)
        return lambda part: sum(c[k] for c in part if isinstance(c[k], (int, float)))

    # ---- writers
    def write_truth(self, out, lines=None):
        used = [f for f in FIELDS if any(f in t for _, t in self.truth)]
        with open(os.path.join(out, self.name + "-truth.csv"), "w", newline="", encoding="utf-8") as h:
            w = csv.writer(h, lineterminator="\n")
            w.writerow(["row"] + used)
            for row, t in self.truth:
                w.writerow([lines[row - 1] if lines else row] + [t.get(f, "") for f in used])
        return len(self.truth), sum(len(t) for _, t in self.truth)

    def write_csv(self, out, encoding, sep, datefmt="%d/%m/%Y", end="\r\n"):
        buf, lines, at = io.StringIO(), [], 1
        width = max(len(x) for x in self.rows)
        for row in self.rows:
            one = io.StringIO()
            vals = ["" if v is None else v.strftime(datefmt) if isinstance(v, dt.date) else str(v) for v in row]
            csv.writer(one, delimiter=sep, lineterminator=end).writerow(vals + [""] * (width - len(vals)))
            lines.append(at)
            at += one.getvalue().count("\n")
            buf.write(one.getvalue())
        with open(os.path.join(out, self.name + ".csv"), "w", newline="", encoding=encoding) as h:
            h.write(buf.getvalue())
        return self.write_truth(out, lines)

    def write_openpyxl(self, out, title="Sheet1", widths=12, more=(), truth=True, wrap=True):
        from openpyxl import Workbook
        from openpyxl.styles import Alignment, Font, PatternFill
        wb = Workbook()
        wb.properties.created = wb.properties.modified = dt.datetime(2026, 11, 20, 9, 0)
        ws = wb.active
        ws.title = title
        for i, row in enumerate(self.rows, 1):
            for j, v in enumerate(row, 1):
                if v is None:
                    continue
                c = ws.cell(i, j, v)
                if isinstance(v, dt.date):
                    c.number_format = "DD/MM/YYYY"
                if isinstance(v, int) and v > 10**11:
                    c.number_format = "0"
                if i in self.bold:
                    c.font = Font(bold=True)
                    c.alignment = Alignment(wrap_text=wrap, vertical="top")
                    c.fill = PatternFill("solid", fgColor="DDE6EE")
        for m in self.merges:
            ws.merge_cells(m)
        for j in range(1, len(self.cols) + 1):
            ws.column_dimensions[ws.cell(1, j).column_letter].width = widths
        for t, rows in more:
            x = wb.create_sheet(t)
            for row in rows:
                x.append(row)
        path = os.path.join(out, self.name + ".xlsx")
        wb.save(path)
        return self.write_truth(out) if truth else path

    def write_xlsxwriter(self, out, title="Sheet1", more=(), head=None):
        import xlsxwriter
        wb = xlsxwriter.Workbook(os.path.join(out, self.name + ".xlsx"))
        wb.set_properties({"created": dt.datetime(2026, 11, 20, 9, 0)})
        ws = wb.add_worksheet(title)
        bold, day = wb.add_format({"bold": 1, "text_wrap": 1, "bg_color": "#EEE8D8"}), wb.add_format({"num_format": "dd mmm yyyy"})
        for i, row in enumerate(self.rows):
            for j, v in enumerate(row):
                if isinstance(v, dt.date):
                    ws.write_datetime(i, j, dt.datetime(v.year, v.month, v.day), day)
                elif isinstance(v, str):
                    ws.write_string(i, j, v, bold if i + 1 in self.bold else None)
                elif v is not None:
                    ws.write_number(i, j, v)
        for m in self.merges:
            a, b = m.split(":")
            r0 = int("".join(c for c in a if c.isdigit())) - 1
            col = next(j for j, v in enumerate(self.rows[r0]) if v is not None)
            ws.merge_range(m, self.rows[r0][col], bold)
        if head:
            ws.freeze_panes(head, 1)
            ws.autofilter(head - 1, 0, len(self.rows) - 1, len(self.cols) - 1)
        for t, rows in more:
            x = wb.add_worksheet(t)
            for i, row in enumerate(rows):
                x.write_row(i, 0, row)
        wb.close()
        return self.write_truth(out)

    def write_office(self, out, ext, title="Sheet1"):
        """ods or xls: written as xlsx, then converted by LibreOffice."""
        with tempfile.TemporaryDirectory() as tmp:
            src = self.write_openpyxl(tmp, title, truth=False)
            subprocess.run(["soffice", f"-env:UserInstallation=file://{tmp}/lo", "--headless", "--convert-to", ext,
                            "--outdir", tmp, src], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            shutil.move(os.path.join(tmp, f"{self.name}.{ext}"), os.path.join(out, f"{self.name}.{ext}"))
        return self.write_truth(out)
