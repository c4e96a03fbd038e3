//! The program as its user runs it: the sample, the awkward and broken files, the promises about files and bytes.

#[path = "operators/whole.rs"]
mod operators;
#[path = "programme/whole.rs"]
mod programme;

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

#[path = "whole/cards.rs"]
mod cards;
#[path = "whole/sharing.rs"]
mod sharing;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn baywright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_baywright")).args(arguments).output().expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A folder of its own for one test, with a copy of a file in it.
fn with_copy(of: &Path) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join(of.file_name().unwrap());
    fs::copy(of, &copy).unwrap();
    (folder, copy)
}

fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Assesses a copy of `file` with JSON and returns the document.
fn assessed(file: &Path, more: &[&str]) -> (tempfile::TempDir, Value) {
    let (folder, copy) = with_copy(file);
    let mut arguments = vec!["assess", copy.to_str().unwrap(), "--json"];
    arguments.extend(more);
    let output = baywright(&arguments);
    assert!(output.status.success(), "{}: {}", file.display(), text(&output.stderr));
    let json = copy.with_file_name(format!("{}-assessed.json", copy.file_stem().unwrap().to_string_lossy()));
    let document = serde_json::from_slice(&fs::read(json).unwrap()).unwrap();
    (folder, document)
}

fn sample() -> PathBuf {
    root().join("sample-portfolio/portfolio.xlsx")
}

#[test]
fn nothing_of_the_sample_is_lost_and_every_site_has_the_fields_of_the_contract() {
    let (_folder, document) = assessed(&sample(), &[]);
    let summary = &document["summary"];
    let count = |name: &str| summary[name].as_u64().unwrap_or_else(|| panic!("summary has no {name}"));
    assert_eq!(count("rows_read"), count("rows_judged") + count("rows_set_aside"));
    assert_eq!(count("rows_judged"), count("ready") + count("marginal") + count("blocked"));
    assert!(count("rows_judged") >= 400);
    let sites = document["sites"].as_array().unwrap();
    assert_eq!(sites.len() as u64, count("rows_judged"));
    assert_eq!(document["set_aside"].as_array().unwrap().len() as u64, count("rows_set_aside"));
    for verdict in ["ready", "marginal", "blocked"] {
        assert!(count(verdict) >= 20, "only {} {verdict}", count(verdict));
    }
    for name in CONTRACT {
        assert!(sites.iter().all(|site| site.get(name).is_some()), "no field {name}");
    }
    // The sample's own keys begin with the kind of place: homes, blocks, workplaces, depots. Each kind is judged, and
    // for each some site has a whole circuit and a price.
    for kind in ["H", "B", "W", "D"] {
        let designed = |site: &&Value| {
            site["site_id"].as_str().unwrap().starts_with(kind)
                && site["cable_csa_mm2"].is_number()
                && site["cost_likely_gbp"].is_number()
        };
        assert!(sites.iter().filter(designed).count() >= 3, "too few sites of kind {kind} are designed and priced");
    }
    // A result not computed is empty, never zero.
    for site in sites {
        let blocked = site["verdict"] == "blocked";
        assert!(!blocked || site["cost_likely_gbp"].is_null(), "a blocked site has a cost: {}", site["site_id"]);
        let odds = &site["odds"];
        let sum: f64 = ["ready", "marginal", "blocked"].iter().map(|name| odds[*name].as_f64().unwrap()).sum();
        assert!((sum - 1.0).abs() < 0.02, "odds of {} add to {sum}", site["site_id"]);
    }
}

const CONTRACT: &[&str] = &[
    "site_id",
    "row",
    "verdict",
    "rank",
    "probability_ready",
    "confidence",
    "waits_for",
    "weeks_low",
    "weeks_likely",
    "weeks_high",
    "verdict_with_neighbours",
    "cluster_id",
    "reasons",
    "override_verdict",
    "override_by",
    "override_date",
    "override_why",
    "next_step",
    "operator_route",
    "charging_current_a",
    "point_phases",
    "control",
    "load_limit_setpoint_a",
    "existing_demand_a",
    "maximum_demand_a",
    "supply_limit_a",
    "device_rating_a",
    "device_curve",
    "cable_type",
    "cable_csa_mm2",
    "installation_method",
    "cable_length_m",
    "current_capacity_a",
    "voltage_drop_v",
    "voltage_drop_percent",
    "zs_ohm",
    "zs_limit_ohm",
    "fault_current_a",
    "earthing_path",
    "points",
    "cost_low_gbp",
    "cost_likely_gbp",
    "cost_high_gbp",
    "labour_hours_low",
    "labour_hours_likely",
    "labour_hours_high",
    "labour_band",
    "decisive_unknowns",
    "remedies",
    "findings",
    "assumed",
    "bill",
    "tasks",
    "odds",
    "group_limit_a",
    "points_at_once",
    "points_served",
    "least_group_limit_a",
    "supply_full_year",
];

#[test]
fn the_four_column_sheet_gives_a_three_way_ranking() {
    let (_folder, document) = assessed(&root().join("sample-portfolio/four-columns.xlsx"), &[]);
    let summary = &document["summary"];
    for verdict in ["ready", "marginal", "blocked"] {
        assert!(summary[verdict].as_u64().unwrap() > 0, "none {verdict}: {summary}");
    }
    assert!(document["sites"].as_array().unwrap().iter().all(|site| site["confidence"] == "desk"));
}

#[test]
fn the_same_bytes_come_from_one_thread_and_from_two() {
    let tables: &[&str] =
        if cfg!(feature = "parquet") { &["--json", "--csv", "--parquet"] } else { &["--json", "--csv"] };
    let mut runs = Vec::new();
    for threads in ["1", "2"] {
        let (folder, copy) = with_copy(&sample());
        let result = folder.path().join("result.xlsx");
        let mut arguments =
            vec!["assess", copy.to_str().unwrap(), "-o", result.to_str().unwrap(), "--threads", threads];
        arguments.extend(tables);
        let output = baywright(&arguments);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let endings = tables.iter().map(|table| table.trim_start_matches('-')).chain(["xlsx"]);
        runs.push(endings.map(|ending| (ending, fs::read(result.with_extension(ending)).unwrap())).collect::<Vec<_>>());
    }
    for ((ending, one), (_, two)) in runs[0].iter().zip(&runs[1]) {
        assert!(one == two, "{ending} differs between one thread and two");
    }
}

#[test]
fn other_rows_change_no_rows_odds() {
    // Homes that are no copies of one another: copies are marked as such, and that is told of the row.
    let row = |home: u32| {
        let (fuse, load, metres) = ([60, 80, 100][home as usize % 3], 18 + home * 3 % 41, 5 + home * 7 % 33);
        format!("H{home},\"{home} Osier Lane, Wexcombe\",ZR7 {}QQ,{fuse},{load},{metres}\n", home % 4)
    };
    let heading = "site_id,address,postcode,cutout_rating_a,existing_demand_a,parking_distance_m\n";
    let odds = |homes: &mut dyn Iterator<Item = u32>| -> std::collections::BTreeMap<String, Value> {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("homes.csv");
        fs::write(&file, heading.to_owned() + &homes.map(row).collect::<String>()).unwrap();
        let (_folder, document) = assessed(&file, &[]);
        let sites = document["sites"].as_array().unwrap();
        sites.iter().map(|site| (site["site_id"].as_str().unwrap().to_owned(), site["odds"].clone())).collect()
    };
    let all = odds(&mut (1..=24));
    assert_eq!(all.len(), 24);
    assert!(all.values().any(|odds| odds["ready"].as_f64().is_some_and(|ready| ready > 0.05 && ready < 0.95)));
    assert_eq!(odds(&mut (1..=24).rev()), all);
    for (id, odds) in odds(&mut (1..=24).filter(|home| home % 5 != 0)) {
        assert_eq!(odds, all[&id], "{id}");
    }
    // Without odds the verdicts stay and nothing is made up.
    let (_folder, without) = assessed(&sample(), &["--no-odds"]);
    assert!(without["sites"].as_array().unwrap().iter().all(|site| site["probability_ready"].is_null()));
    assert!(without["summary"]["likely_ready"].is_null() && without["summary"]["ready"].as_u64() > Some(0));
}

#[test]
fn visits_are_as_many_as_asked_for_and_each_narrows_less_than_the_one_before() {
    let (_folder, document) = assessed(&sample(), &["--visits", "9"]);
    let visits = document["visits"].as_array().unwrap();
    assert_eq!(visits.len(), 9);
    let worth = |visit: &Value| visit["count_share"].as_f64().unwrap() + visit["price_share"].as_f64().unwrap();
    assert!(visits.windows(2).all(|pair| worth(&pair[0]) >= worth(&pair[1]) - 2e-4));
    let (count, price): (f64, f64) = visits
        .iter()
        .map(|visit| (visit["count_share"].as_f64().unwrap(), visit["price_share"].as_f64().unwrap()))
        .fold((0.0, 0.0), |sum, visit| (sum.0 + visit.0, sum.1 + visit.1));
    assert!(count > 0.0 && count < 1.0 && price > 0.0 && price < 1.0);
    let likely = &document["summary"]["likely_ready"];
    let point = |name: &str| likely[name].as_f64().unwrap();
    assert!(point("p10") < point("mean") && point("mean") < point("p90"), "{likely}");
}

#[test]
fn an_order_is_for_the_sites_asked_for() {
    let of = |document: &Value| document["order"].clone();
    let (_folder, usual) = assessed(&sample(), &[]);
    assert_eq!(of(&usual)["choice"], "ready sites");
    assert_eq!(of(&usual)["sites"], usual["summary"]["ready"]);
    let (folder, copy) = with_copy(&sample());
    let list = folder.path().join("october.txt");
    let ids: Vec<&str> =
        usual["sites"].as_array().unwrap()[..3].iter().map(|site| site["site_id"].as_str().unwrap()).collect();
    fs::write(&list, ids.join("\n")).unwrap();
    let arguments = ["assess", copy.to_str().unwrap(), "--json", "--csv", "--for", list.to_str().unwrap()];
    let done = baywright(&arguments);
    assert!(done.status.success(), "{}", text(&done.stderr));
    assert!(text(&done.stdout).contains("sites listed in october.txt, 3 sites"), "{}", text(&done.stdout));
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    let document: Value = serde_json::from_str(&read("portfolio-assessed.json")).unwrap();
    assert_eq!(document["inputs"]["order"]["name"], "october.txt");
    let cables = of(&document)["cables"].as_array().unwrap().clone();
    let drums = cables.iter().flat_map(|cable| cable["drums"].as_array().unwrap());
    let cuts: Vec<&Value> = drums.flat_map(|drum| drum["cuts"].as_array().unwrap()).collect();
    assert!(cuts.len() >= 3 && cuts.iter().all(|cut| ids.contains(&cut["site_id"].as_str().unwrap())));
    assert_eq!(read("portfolio-assessed-cutting.csv").lines().count(), cuts.len() + 1);
    let items = of(&document)["items"].as_array().unwrap().len();
    assert_eq!(read("portfolio-assessed-order.csv").lines().count(), items + 2);
    // A list is an input: it is never written to, and what it names must exist.
    for (order, words) in [("lot=Moon", "3 Coast"), ("nowhere.txt", "one site_id a line"), ("october.txt", "H-none")] {
        fs::write(&list, "H-none\n").unwrap();
        let order = if order == "october.txt" { list.to_str().unwrap() } else { order };
        let refused = baywright(&["assess", copy.to_str().unwrap(), "--force", "--for", order]);
        assert_eq!(refused.status.code(), Some(1));
        assert!(text(&refused.stderr).contains(words), "{}", text(&refused.stderr));
    }
}

#[test]
fn results_are_not_overwritten_and_the_input_is_never_written_to() {
    let (folder, copy) = with_copy(&root().join("sample-portfolio/four-columns.xlsx"));
    let before = fs::read(&copy).unwrap();
    let file = copy.to_str().unwrap();
    assert!(baywright(&["assess", file]).status.success());
    let refused = baywright(&["assess", file]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("--force"), "{}", text(&refused.stderr));
    assert!(baywright(&["assess", file, "--force"]).status.success());
    let onto_itself = baywright(&["assess", file, "-o", file, "--force"]);
    assert_eq!(onto_itself.status.code(), Some(1));
    assert_eq!(fs::read(&copy).unwrap(), before);
    assert_eq!(names_in(folder.path()), ["four-columns-assessed.xlsx", "four-columns.xlsx"]);
}

#[test]
fn bad_usage_rules_prices_and_places_get_one_sentence_and_nothing_half_written() {
    let (folder, copy) = with_copy(&root().join("sample-portfolio/four-columns.xlsx"));
    let file = copy.to_str().unwrap();
    let write = |name: &str, content: &str| {
        let path = folder.path().join(name);
        fs::write(&path, content).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let unsafe_rules = write("unsafe.toml", "[circuit]\nelectrode_limit_ohm = 500\n");
    let wrong_key = write("wrong.toml", "[supply]\nhome_treshold_a = 50\n");
    let broken = write("broken.toml", "[supply\n");
    let prices =
        write("prices.csv", "item,description,kind,unit,low,likely,high\ncharge-point-1ph,x,material,each,1,many,3\n");
    let text_file = folder.path().join("result.txt");
    let cases: [(&[&str], &[&str]); 7] = [
        (&["-o", text_file.to_str().unwrap()], &["result.txt", ".xlsx"]),
        (&["--rules", &unsafe_rules], &["electrode_limit_ohm", "weaken safety"]),
        (&["--rules", &wrong_key], &["home_treshold_a", "line 2"]),
        (&["--rules", &broken], &["broken.toml"]),
        (&["--rules", "no-such-rules.toml"], &["no-such-rules.toml"]),
        (&["--prices", &prices], &["prices.csv", "many"]),
        (&["-o", "/no/such/folder/result.xlsx"], &["/no/such/folder"]),
    ];
    for (arguments, words) in cases {
        let mut all = vec!["assess", file];
        all.extend(arguments);
        let output = baywright(&all);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{arguments:?}: {said}");
        assert!(said.starts_with("baywright: ") && output.stdout.is_empty(), "{said}");
        assert!(words.iter().all(|word| said.contains(word)), "{arguments:?}: {said}");
    }
    assert_eq!(baywright(&["assess"]).status.code(), Some(2));
    assert_eq!(baywright(&["no-such-command"]).status.code(), Some(2));
    assert!(!names_in(folder.path()).iter().any(|name| name.contains("assessed") || name.ends_with(".part")));
}

#[test]
fn the_readme_shows_what_the_program_says() {
    let (folder, copy) = with_copy(&sample());
    let said = text(&baywright(&["assess", copy.to_str().unwrap()]).stdout);
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let place = folder.path().display().to_string();
    let stale: Vec<&str> =
        said.lines().filter(|line| !line.contains(&place) && !readme.contains(line.trim_end())).collect();
    assert!(stale.is_empty(), "README.md does not show: {stale:#?}");
}

/// Files of one part of the corpus with the lines written beside them.
fn corpus(part: &str) -> Vec<(PathBuf, Vec<String>)> {
    let folder = root().join("tests/corpus").join(part);
    let mut cases = Vec::new();
    for name in names_in(&folder).into_iter().filter(|name| name.ends_with(".txt")) {
        let (stem, ending) = name.trim_end_matches(".txt").rsplit_once('-').expect("x.xlsx is described by x-xlsx.txt");
        let lines = fs::read_to_string(folder.join(&name)).unwrap().lines().map(str::to_owned).collect();
        cases.push((folder.join(format!("{stem}.{ending}")), lines));
    }
    assert!(cases.len() >= 5, "{part} is empty");
    cases
}

#[test]
fn what_cannot_be_read_is_refused_with_a_sentence() {
    for (file, lines) in corpus("refused") {
        let (folder, copy) = with_copy(&file);
        let output = baywright(&["assess", copy.to_str().unwrap()]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{}: {said}", file.display());
        assert!(said.starts_with("baywright: ") && !said.contains("panicked"), "{said}");
        for line in lines.iter().filter(|line| !line.is_empty()) {
            let found = line.split('|').any(|word| said.to_lowercase().contains(&word.trim().to_lowercase()));
            assert!(found, "{}: {line:?} is not in {said}", file.display());
        }
        assert_eq!(names_in(folder.path()).len(), 1, "{} left something behind", file.display());
    }
}

/// Every text on one sheet of a workbook.
fn texts_on(workbook: &Path, sheet: &str) -> Vec<String> {
    use calamine::{DataRef, Xlsx, open_workbook};
    let mut workbook: Xlsx<_> = open_workbook(workbook).unwrap();
    let mut reader = workbook.worksheet_cells_reader(sheet).unwrap();
    let mut texts = Vec::new();
    while let Some(cell) = reader.next_cell().unwrap() {
        match cell.get_value() {
            DataRef::String(text) => texts.push(text.clone()),
            DataRef::SharedString(text) => texts.push((*text).to_owned()),
            _ => {}
        }
    }
    texts
}

#[test]
fn what_is_odd_but_readable_is_read_whole() {
    for (file, lines) in corpus("read") {
        let (folder, document) = assessed(&file, &[]);
        let stem = file.file_stem().unwrap().to_string_lossy();
        let as_read = texts_on(&folder.path().join(format!("{stem}-assessed.xlsx")), "As read");
        for line in &lines {
            let Some((what, value)) = line.split_once(' ') else { continue };
            let count = |name: &str| document["summary"][name].as_u64().unwrap().to_string();
            match what {
                "judged" => assert_eq!(count("rows_judged"), value, "{}", file.display()),
                "set-aside" => assert_eq!(count("rows_set_aside"), value, "{}", file.display()),
                "text" => {
                    assert!(as_read.iter().any(|cell| cell.contains(value)), "{}: no cell {value:?}", file.display());
                }
                other => panic!("{}: nobody knows what {other:?} asks for", file.display()),
            }
        }
    }
}

#[test]
fn hostile_files_never_end_in_a_crash() {
    for (file, _) in corpus("either") {
        let (_folder, copy) = with_copy(&file);
        for command in ["assess", "inspect"] {
            let output = baywright(&[command, copy.to_str().unwrap()]);
            let said = text(&output.stderr);
            assert!(matches!(output.status.code(), Some(0 | 1)), "{command} {}: {said}", file.display());
            assert!(!said.contains("panicked"), "{command} {}: {said}", file.display());
        }
    }
}

#[test]
fn an_inspection_is_a_page_and_a_workbook_and_never_touches_the_input() {
    let (folder, copy) = with_copy(&sample());
    let before = fs::read(&copy).unwrap();
    let page = text(&baywright(&["inspect", copy.to_str().unwrap()]).stdout);
    // The survey is told on a page; what each sheet beside it holds, in a few lines more.
    let (survey, beside) = page.split_once("\n\nportfolio.xlsx, sheet \"Fleet\"").expect("the sheet of vehicles");
    assert!(survey.lines().count() <= 70 && beside.lines().count() <= 20, "{page}");
    assert!(page.lines().all(|line| line.chars().count() <= 120), "{page}");
    for part in ["Can this be assessed?", "Values:", "Contradictions:", "Rows:", "Missing:"] {
        assert!(page.contains(part), "no {part} in {page}");
    }
    let marked = folder.path().join("marked.xlsx");
    let marked = marked.to_str().unwrap();
    let written = baywright(&["inspect", copy.to_str().unwrap(), "-o", marked]);
    assert!(written.status.success(), "{}", text(&written.stderr));
    let first = fs::read(marked).unwrap();
    // What is written is a workbook that is read again: the same sites, cell for cell.
    let again = text(&baywright(&["inspect", marked, "--sheet", "Survey returns"]).stdout);
    assert!(again.contains("451 rows read: 435 can be judged, 16 set aside"), "{again}");
    for (arguments, says) in [
        (vec![marked], "exists already"),
        (vec![marked, "--force"], ""),
        (vec![copy.to_str().unwrap(), "--force"], "is the file that was read"),
        (vec!["marked.csv"], "does not end in .xlsx"),
    ] {
        let mut all = vec!["inspect", copy.to_str().unwrap(), "-o"];
        all.extend(arguments);
        let output = baywright(&all);
        assert_eq!(output.status.success(), says.is_empty(), "{all:?}: {}", text(&output.stderr));
        assert!(text(&output.stderr).contains(says), "{}", text(&output.stderr));
    }
    assert_eq!(fs::read(marked).unwrap(), first, "the same sheet gives the same bytes");
    assert_eq!(fs::read(&copy).unwrap(), before);
    assert_eq!(names_in(folder.path()), ["marked.xlsx", "portfolio.xlsx"]);
}

/// A workbook whose two sheets are those of the template, one of homes and one of a car park.
fn homes_and_car_parks(folder: &Path) -> PathBuf {
    let fields = "site_id,address,postcode,cutout_rating_a,agreed_capacity_kva,existing_demand_a,existing_demand_kw,\
        parking_distance_m,looped_service,bays";
    let mut book = rust_xlsxwriter::Workbook::new();
    for (name, rows) in [
        (
            "Homes",
            vec![
                "Our homes",
                fields,
                ",1 Mill Lane,QX4 7LP,80,,35,,12,no,",
                ",2 Mill Lane,QX4 7LP,see photo,,30,,9,no,",
            ],
        ),
        (
            "Shared car parks",
            vec!["Our yards", fields, "P1,Long Yard,QX4 7LP,,138,,40,30,,12", "Total,,,,138,,40,,,12"],
        ),
    ] {
        let sheet = book.add_worksheet();
        sheet.set_name(name).unwrap();
        for (row, line) in (0..).zip(rows) {
            for (column, cell) in (0..).zip(line.split(',')) {
                sheet.write_string(row, column, cell).unwrap();
            }
        }
    }
    let place = folder.join("both.xlsx");
    book.save(&place).unwrap();
    place
}

#[test]
fn homes_and_car_parks_of_one_workbook_are_one_portfolio_with_the_sheet_beside_every_row() {
    let folder = tempfile::tempdir().unwrap();
    let both = homes_and_car_parks(folder.path());
    let (written, document) = assessed(&both, &["--csv"]);
    let places: std::collections::BTreeSet<(String, u64, String)> = document["sites"]
        .as_array()
        .unwrap()
        .iter()
        .map(|site| {
            let text = |name: &str| site[name].as_str().unwrap().to_owned();
            (text("sheet"), site["row"].as_u64().unwrap(), text("site_id"))
        })
        .collect();
    let place = |sheet: &str, row: u64, id: &str| (sheet.to_owned(), row, id.to_owned());
    let expected = [place("Homes", 3, "row-0003"), place("Homes", 4, "row-0004"), place("Shared car parks", 3, "P1")];
    assert_eq!(places, expected.into());
    assert_eq!(document["set_aside"][0]["sheet"], "Shared car parks");
    let csv = fs::read_to_string(written.path().join("both-assessed.csv")).unwrap();
    assert!(csv.contains("site_id,row,sheet,verdict"), "{csv}");
    let result = written.path().join("both-assessed.xlsx");
    assert!(texts_on(&result, "Ranking").contains(&"Shared car parks!3".to_owned()));
    assert!(texts_on(&result, "As read").contains(&"Sheet".to_owned()));
    let explain = |site: &str| baywright(&["explain", both.to_str().unwrap(), "--site", site]);
    assert!(text(&explain("shared car parks!3").stdout).contains("Long Yard"));
    assert!(!explain("3").status.success(), "a row of which sheet?");
    // One sheet alone shows nothing of it.
    let (_alone, alone) = assessed(&both, &["--sheet", "Homes"]);
    assert!(alone["sites"][0].get("sheet").is_none() && alone["sites"].as_array().unwrap().len() == 2);
    // The marked workbook holds both, titles and all, and is read again like the original.
    let marked = folder.path().join("marked.xlsx");
    let asked = ["inspect", both.to_str().unwrap(), "-o", marked.to_str().unwrap()];
    let page = text(&baywright(&asked).stdout);
    assert!(page.contains("cutout_rating_a Homes!D4 \"see photo\"") && page.contains("Shared car parks!4"), "{page}");
    assert!(texts_on(&marked, "Homes").contains(&"Our homes".to_owned()));
    assert!(texts_on(&marked, "Shared car parks").contains(&"Our yards".to_owned()));
    let again = text(&baywright(&["inspect", marked.to_str().unwrap(), "--sheet", "2", "--sheet", "3"]).stdout);
    assert!(again.contains("4 rows read: 3 can be judged, 1 set aside"), "{again}");
}

#[test]
fn the_other_commands_do_their_job() {
    let sample = sample();
    let sample = sample.to_str().unwrap();
    let inspected = text(&baywright(&["inspect", sample]).stdout);
    assert!(inspected.contains("cutout_rating_a") && inspected.contains("Ward"), "{inspected}");
    let schema = baywright(&["schema"]);
    assert!(schema.status.success() && text(&schema.stdout).contains("https://json-schema.org"));
    let folder = tempfile::tempdir().unwrap();
    let template = folder.path().join("survey.xlsx");
    assert!(baywright(&["template", "-o", template.to_str().unwrap()]).status.success());
    let empty = baywright(&["assess", template.to_str().unwrap()]);
    assert_eq!(empty.status.code(), Some(1), "{}", text(&empty.stderr));
    let (_folder, document) = assessed(Path::new(sample), &[]);
    let site = document["sites"][0]["site_id"].as_str().unwrap().to_owned();
    let explained = text(&baywright(&["explain", sample, "--site", &site]).stdout);
    assert!(explained.contains(&site) && explained.contains("mV/A/m"), "{explained}");
    let unknown = baywright(&["explain", sample, "--site", "no such site"]);
    assert_eq!(unknown.status.code(), Some(1));
}

/// Titles of the checks by their names, from the table they stand in.
fn check_titles() -> std::collections::BTreeMap<String, String> {
    let mut reader = csv::Reader::from_path(root().join("src/finding/checks.csv")).unwrap();
    let headings = reader.headers().unwrap().clone();
    let column = |name: &str| headings.iter().position(|heading| heading == name).unwrap();
    let (name, title) = (column("check"), column("title"));
    reader.records().map(Result::unwrap).map(|row| (row[name].to_owned(), row[title].to_owned())).collect()
}

#[test]
fn a_calculation_to_be_signed_holds_every_check_of_its_sites() {
    let (folder, document) = assessed(&sample(), &[]);
    let portfolio = folder.path().join("portfolio.xlsx");
    let portfolio = portfolio.to_str().unwrap();
    let sites = document["sites"].as_array().unwrap();
    let first = |verdict: &str| sites.iter().find(|site| site["verdict"] == verdict).unwrap();
    let chosen = [first("ready"), first("marginal"), first("blocked")];
    let ids = chosen.map(|site| site["site_id"].as_str().unwrap());
    let workbook = folder.path().join("calculation.xlsx");
    let place = workbook.to_str().unwrap();
    // The last is named twice, and once by another case: it has one sheet.
    let again = ids[2].to_lowercase();
    let arguments = ["explain", portfolio, "--site", ids[0], ids[1], "--site", ids[2], "--site", &again, "-o", place];
    let written = baywright(&arguments);
    assert!(written.status.success(), "{}", text(&written.stderr));
    assert!(text(&written.stdout).contains("3 sites"), "{}", text(&written.stdout));
    let titles = check_titles();
    let mut measured = 0;
    for (site, id) in chosen.iter().zip(ids) {
        let texts = texts_on(&workbook, id);
        let findings = site["findings"].as_array().unwrap();
        let of = |check: &Value| findings.iter().filter(|finding| finding["check"] == *check).count();
        assert!(findings.len() >= 3, "{id} has hardly a finding");
        for finding in findings {
            let title = &titles[finding["check"].as_str().unwrap()];
            let shown = texts.iter().filter(|cell| *cell == title).count();
            assert_eq!(shown, of(&finding["check"]), "{id}: {title}");
            if let Some(measure) = finding["measure"].as_str() {
                measured += 1;
                assert!(texts.iter().any(|cell| cell.contains(measure)), "{id}: {measure} is not asked for");
            }
        }
        let figures = findings.iter().filter(|finding| finding["value"].is_number()).count();
        let count = texts.iter().find_map(|cell| cell.split_once(" figures: ")).expect("a count by status").0;
        assert!(count.parse::<usize>().unwrap() >= figures, "{id}: {count} figures of {figures}");
        for words in ["Designed by", "Checked by", "Tests done by"] {
            assert!(texts.iter().any(|cell| cell == words), "{id}: no room for {words}");
        }
        assert!(!texts.iter().any(|cell| cell.contains("{0}") || cell.contains("not known ")), "{id}: a gap is shown");
    }
    assert!(measured > 10, "only {measured} findings say what has to be measured");
    let before = fs::read(&workbook).unwrap();
    let refused = baywright(&arguments);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("--force"), "{}", text(&refused.stderr));
    assert!(baywright(&[&arguments[..], &["--force"]].concat()).status.success());
    assert!(fs::read(&workbook).unwrap() == before, "the same calculation has other bytes");
    // Refused: a name that is no workbook's, the input, sites that are not there (each is named); nothing is left behind.
    let text_file = folder.path().join("calculation.txt");
    let fresh = folder.path().join("fresh.xlsx");
    for (sites, place, words) in [
        (vec![ids[0]], text_file.to_str().unwrap(), vec!["calculation.txt", ".xlsx"]),
        (vec![ids[0]], portfolio, vec!["portfolio.xlsx", "never written to"]),
        (vec!["nobody", ids[0], "nowhere"], fresh.to_str().unwrap(), vec!["\"nobody\"", "\"nowhere\""]),
    ] {
        let mut arguments = vec!["explain", portfolio, "-o", place, "--force", "--site"];
        arguments.extend(sites);
        let output = baywright(&arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(words.iter().all(|word| said.contains(word)) && output.stdout.is_empty(), "{said}");
    }
    let left = ["calculation.xlsx", "portfolio-assessed.json", "portfolio-assessed.xlsx", "portfolio.xlsx"];
    assert_eq!(names_in(folder.path()), left);
    // On the terminal: every site in the order in which it was named.
    let told = text(&baywright(&["explain", portfolio, "--site", ids[1], ids[0]]).stdout);
    assert!(told.starts_with(ids[1]) && told.contains(&format!("\n{}  ", ids[0])), "{told}");
}

/// A portfolio of three homes, and the folder it lies in with further files.
fn three_homes(further: &[(&str, &str)]) -> (tempfile::TempDir, PathBuf, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("homes.csv");
    let homes = "site_id,uprn,address,postcode,premises_type,tenure,cutout_rating_a,cutout_evidence,looped_service,\
        survey_method,existing_demand_a,parking_type,parking_distance_m\n\
        A1,100001,3 Fennel Row,QX4 7LP,house,owner,80,fuse,no,visit,20,driveway,12\n\
        A2,100002,5 Fennel Row,QX4 7LP,house,owner,80,fuse,,visit,20,driveway,12\n\
        A3,100003,7 Fennel Row,QX4 7LP,house,owner,100,fuse,no,visit,,driveway,12\n";
    fs::write(&place, homes).unwrap();
    let mut names = Vec::new();
    for (name, text) in further {
        let place = folder.path().join(name);
        fs::write(&place, text).unwrap();
        names.push(place.to_str().unwrap().to_owned());
    }
    (folder, place, names)
}

fn judged_homes(portfolio: &Path, with: &[String]) -> Value {
    let mut arguments = vec!["assess", portfolio.to_str().unwrap(), "--json", "--force", "--as-of", "2026-11-25"];
    for file in with {
        arguments.extend(["--with", file]);
    }
    let output = baywright(&arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    serde_json::from_slice(&fs::read(portfolio.with_file_name("homes-assessed.json")).unwrap()).unwrap()
}

fn home<'a>(document: &'a Value, id: &str) -> &'a Value {
    document["sites"].as_array().unwrap().iter().find(|site| site["site_id"] == id).unwrap()
}

fn has_reason(site: &Value, code: &str) -> bool {
    site["reasons"].as_array().unwrap().iter().any(|reason| reason == code)
}

#[test]
fn files_laid_over_a_portfolio_answer_its_questions_and_their_disagreements_hold() {
    let answers = "UPRN,Main fuse (A),Fuse evidence,Looped service\n100001,60,fuse,\n100002,,,no\n100009,80,fuse,no\n";
    let (folder, homes, with) = three_homes(&[("answers.csv", answers)]);
    let alone = judged_homes(&homes, &[]);
    assert!(alone.get("joined_files").is_none() && alone["inputs"]["with"].as_array().unwrap().is_empty());
    assert!(has_reason(home(&alone, "A2"), "loop-unknown") && !has_reason(home(&alone, "A1"), "answers-conflict"));
    let joined = judged_homes(&homes, &with);
    // The answer settles one home, the disagreement about the fuse holds another, the third is as it was.
    assert!(!has_reason(home(&joined, "A2"), "loop-unknown"));
    assert!(has_reason(home(&joined, "A1"), "answers-conflict"), "{}", home(&joined, "A1")["reasons"]);
    assert_eq!(home(&joined, "A1")["verdict"], "marginal");
    assert_eq!(home(&joined, "A3"), &{
        let mut before = home(&alone, "A3").clone();
        before["rank"] = home(&joined, "A3")["rank"].clone();
        before
    });
    let file = &joined["inputs"]["with"][0];
    assert!(file["name"] == "answers.csv" && file["sha256"].as_str().unwrap().len() == 64);
    let layer = &joined["joined_files"][0];
    let count = |name: &str| layer[name].as_u64().unwrap();
    assert_eq!((count("rows_read"), count("rows_joined"), count("rows_not_joined")), (3, 2, 1));
    let sheet = texts_on(&folder.path().join("homes-assessed.xlsx"), "Joined files");
    for cell in ["conflict", "homes.csv G2", "B2", "not joined", "looped_service"] {
        assert!(sheet.iter().any(|text| text == cell), "no cell {cell:?} on Joined files: {sheet:?}");
    }
    // The same from the other commands, and a file that is read is never written to.
    let inspected = text(&baywright(&["inspect", homes.to_str().unwrap(), "--with", &with[0]]).stdout);
    assert!(
        inspected.contains("3 rows read: 2 joined, 1 not joined") && inspected.contains("homes.csv G2"),
        "{inspected}"
    );
    let arguments = ["explain", homes.to_str().unwrap(), "--site", "A1", "--with", &with[0]];
    assert!(text(&baywright(&arguments).stdout).contains("Answers of several files"));
    let over = folder.path().join("visits.xlsx");
    fs::copy(root().join("sample-portfolio/four-columns.xlsx"), &over).unwrap();
    let over = over.to_str().unwrap();
    let refused = baywright(&["assess", homes.to_str().unwrap(), "--with", over, "-o", over, "--force"]);
    assert!(refused.status.code() == Some(1) && text(&refused.stderr).contains("never written to"));
    let lost = baywright(&["assess", homes.to_str().unwrap(), "--with", "nowhere.csv", "--force"]);
    assert!(lost.status.code() == Some(1) && text(&lost.stderr).contains("nowhere.csv"), "{}", text(&lost.stderr));
}

#[test]
fn half_hours_from_a_file_or_a_sheet_give_the_demand_that_nobody_stated() {
    let mut lines =
        format!("MPAN,Site ID,Date,{}\n", (1..=48).map(|at| format!("HH{at} kWh")).collect::<Vec<_>>().join(","));
    for day in 1..=31 {
        let value = if day == 9 { "4.5" } else { "0.4" };
        lines.push_str(&format!(",A3,{day}/1/2026,{}\n", vec![value; 48].join(",")));
    }
    let (_folder, homes, with) = three_homes(&[("meters.csv", &lines)]);
    let alone = judged_homes(&homes, &[]);
    let joined = judged_homes(&homes, &with);
    // 4.5 kWh in half an hour are 9 kW, 9.474 kVA, 41.2 A; without them the home takes what such a home takes.
    assert_eq!(home(&joined, "A3")["existing_demand_a"].as_f64(), Some(41.2));
    assert_ne!(home(&alone, "A3")["existing_demand_a"].as_f64(), Some(41.2));
    let told = joined["joined_files"][0]["lines"].as_array().unwrap();
    let peak = told.iter().find(|line| line["what"] == "filled").unwrap();
    assert!(peak["field"] == "recorded_peak_kva" && peak["value"].as_str().unwrap().contains("on 2026-01-09"));
    // The same as a sheet of the portfolio itself, by its name; a sheet `fleet` goes to the sites that it names.
    let mut book = rust_xlsxwriter::Workbook::new();
    for (name, content) in [
        ("Homes", fs::read_to_string(&homes).unwrap()),
        ("profiles", lines),
        ("fleet", "site_id,vehicle_group,count\nA1,van,2\n".to_owned()),
    ] {
        let sheet = book.add_worksheet();
        sheet.set_name(name).unwrap();
        for (row, line) in (0..).zip(content.lines()) {
            for (column, cell) in (0..).zip(line.split(',')) {
                sheet.write_string(row, column, cell).unwrap();
            }
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("homes.xlsx");
    book.save(&place).unwrap();
    let in_one = judged_homes(&place, &[]);
    assert_eq!(home(&in_one, "A3")["existing_demand_a"].as_f64(), Some(41.2));
    assert!(in_one["inputs"]["with"].as_array().unwrap().is_empty());
    let kinds: Vec<&Value> = in_one["joined_files"].as_array().unwrap().iter().map(|layer| &layer["kind"]).collect();
    assert_eq!(kinds, ["half-hours", "fleet"]);
}

#[cfg(unix)]
#[test]
fn an_interrupted_run_leaves_a_whole_result_or_none() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("many.csv");
    let mut content = String::from("address,cutout_rating_a,existing_demand_a,parking_distance_m\n");
    for row in 0..20_000 {
        content.push_str(&format!("{row} Example Row,100,{},{}\n", 20 + row % 40, 5 + row % 30));
    }
    fs::write(&file, content).unwrap();
    for wait_ms in [30, 150, 400] {
        let mut running = Command::new(env!("CARGO_BIN_EXE_baywright"))
            .args(["assess", file.to_str().unwrap()])
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait_ms));
        Command::new("kill").args(["-INT", &running.id().to_string()]).status().unwrap();
        let status = running.wait().unwrap();
        let names = names_in(folder.path());
        let done = status.code() == Some(0);
        let expected: &[&str] = if done { &["many-assessed.xlsx", "many.csv"] } else { &["many.csv"] };
        // Killed before the handler stood: nothing can have been begun then.
        assert!(matches!(status.code(), Some(0 | 1) | None), "{status:?}");
        assert_eq!(names, expected, "{status:?}");
        let _ = fs::remove_file(folder.path().join("many-assessed.xlsx"));
    }
}

#[test]
fn a_mapping_is_saved_obeyed_and_named_among_the_inputs() {
    let folder = tempfile::tempdir().unwrap();
    let place = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let sheet = place("returns.csv");
    // Two headings for the rating, and values that could be either: the program asks.
    let rows =
        "Site address,Main fuse,Fuse size,Max demand,Cable run\n1 Mill Lane,100,60,20,12\n2 Mill Lane,100,80,20,12\n";
    fs::write(&sheet, rows).unwrap();
    let refused = baywright(&["assess", &sheet]);
    assert!(!refused.status.success() && text(&refused.stderr).contains("Fuse size"), "{}", text(&refused.stderr));
    assert!(text(&baywright(&["inspect", &sheet]).stdout).contains("Fuse size"));

    let (given, saved) = (place("given.toml"), place("saved.toml"));
    fs::write(&given, "[columns]\n\"Fuse sise\" = \"cutout_rating_a\"\n").unwrap();
    let refused = baywright(&["assess", &sheet, "--mapping", &given]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("column C \"Fuse size\""), "{}", text(&refused.stderr));
    assert_eq!(names_in(folder.path()), ["given.toml", "returns.csv"], "nothing half written");

    fs::write(&given, "[columns]\n\"Fuse size\" = \"cutout_rating_a\"\n").unwrap();
    let output = baywright(&["inspect", &sheet, "--mapping", &given, "--save-mapping", &saved]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let map = fs::read_to_string(&saved).unwrap();
    assert!(map.contains("\"Fuse size\" = \"cutout_rating_a\"  # 1.00 as you said"), "{map}");
    let again = baywright(&["inspect", &sheet, "--save-mapping", &saved, "--mapping", &given]);
    assert!(!again.status.success(), "an existing mapping is kept without --force");
    let site = baywright(&["explain", &sheet, "--site", "2", "--mapping", &saved]);
    assert!(site.status.success(), "{}", text(&site.stderr));

    let output = baywright(&["assess", &sheet, "--json", "--mapping", &saved]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let document: Value = serde_json::from_slice(&fs::read(place("returns-assessed.json")).unwrap()).unwrap();
    assert_eq!(document["inputs"]["mapping"]["name"], "saved.toml");
    assert_eq!(document["inputs"]["mapping"]["sha256"].as_str().map(str::len), Some(64));
    let over = baywright(&["assess", &sheet, "--mapping", &saved, "-o", &place("saved.xlsx"), "--force"]);
    assert!(over.status.success());
    assert_eq!(fs::read_to_string(&saved).unwrap(), map, "the mapping is never written to by an assessment");
}

#[test]
fn scenarios_stand_beside_the_run_and_are_what_a_run_with_their_file_is() {
    let file = |name: &str| root().join("sample-portfolio").join(name).to_str().unwrap().to_owned();
    let (slower, communal, dearer) =
        (file("rules-16-a.toml"), file("rules-no-communal-works.toml"), file("prices-labour-plus-10.csv"));
    let asked: [&str; 12] = [
        "--rules", "defaults", "--rules", &slower, "--rules", &communal, "--rules", "defaults", "--prices", "defaults",
        "--prices", &dearer,
    ];
    let on = |threads: &str| {
        let (folder, copy) = with_copy(&sample());
        let result = folder.path().join("result.xlsx");
        let mut arguments =
            vec!["assess", copy.to_str().unwrap(), "-o", result.to_str().unwrap(), "--json", "--threads", threads];
        arguments.extend(asked);
        let output = baywright(&arguments);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let said = text(&output.stdout).lines().filter(|line| line.starts_with("  rules-16-a.toml ")).count();
        assert_eq!(said, 1, "a line a scenario");
        (fs::read(&result).unwrap(), fs::read(result.with_extension("json")).unwrap())
    };
    let (workbook, json) = on("2");
    assert!((workbook, json.clone()) == on("1"), "results differ between one thread and two");
    let document: Value = serde_json::from_slice(&json).unwrap();
    assert_eq!(document["inputs"]["scenarios"].as_array().unwrap().len(), 4);
    let (_one, slow) = assessed(&sample(), &["--rules", &slower]);
    let (_two, closed) = assessed(&sample(), &["--rules", &communal]);
    let (_three, dear) = assessed(&sample(), &["--prices", &dearer]);
    assert!(slow.get("scenarios").is_none() && slow["inputs"].get("scenarios").is_none());
    let scenarios = document["scenarios"].as_array().unwrap();
    let names: Vec<&str> = scenarios.iter().map(|one| one["name"].as_str().unwrap()).collect();
    let wanted =
        ["this run", "rules-16-a.toml", "rules-no-communal-works.toml", "defaults", "prices-labour-plus-10.csv"];
    assert_eq!(names, wanted);
    let by_id = |document: &Value| -> std::collections::BTreeMap<String, Value> {
        let sites = document["sites"].as_array().unwrap().iter();
        sites.map(|site| (site["site_id"].as_str().unwrap().to_owned(), site.clone())).collect()
    };
    let before = by_id(&document);
    // The verdict that counts: an engineer's where there is one.
    let counted = |site: &Value| match &site["override_verdict"] {
        Value::Null => site["verdict"].clone(),
        engineer => engineer.clone(),
    };
    for (scenario, alone) in scenarios.iter().zip([&document, &slow, &closed, &document, &dear]) {
        let name = &scenario["name"];
        for count in ["ready", "marginal", "blocked"] {
            assert_eq!(scenario[count], alone["summary"][count], "{name}: {count}");
        }
        assert_eq!(scenario["bid_price_gbp"], alone["bid"]["whole"]["price_gbp"], "{name}");
        // Sums are those of the sites of the run alone, and what moved is as there.
        let after = by_id(alone);
        let sum = |field: &str| {
            let planned = after.values().filter(|site| counted(site) != "blocked");
            planned.filter_map(|site| site[field].as_f64()).sum::<f64>()
        };
        let close = |field: &str, sum: f64, least: f64| {
            let told = scenario[field].as_f64().unwrap();
            assert!((told - sum).abs() < least, "{name}: {field} {told}, sum {sum}");
        };
        close("cost_likely_gbp", sum("cost_likely_gbp"), 0.005);
        // Hours of each site are rounded to hundredths.
        close("hours_likely", sum("labour_hours_likely"), 0.005 * after.len() as f64);
        for moved in scenario["moved"].as_array().unwrap() {
            let id = moved["site_id"].as_str().unwrap();
            for (site, when) in [(&before[id], "before"), (&after[id], "after")] {
                assert_eq!(counted(site), moved[format!("verdict_{when}")], "{name}, {id}");
                for (field, told) in [
                    ("charging_current_a", format!("charging_current_{when}_a")),
                    ("cost_likely_gbp", format!("cost_likely_{when}_gbp")),
                    ("labour_hours_likely", format!("hours_likely_{when}")),
                ] {
                    // Of a site counted blocked no installation is counted.
                    let blocked = field != "charging_current_a" && counted(site) == "blocked";
                    let wanted = if blocked { &Value::Null } else { &site[field] };
                    assert_eq!(wanted, &moved[&told], "{name}, {id}: {told}");
                }
            }
        }
    }
    let moved = |place: usize| scenarios[place]["moved"].as_array().unwrap();
    // Equal rules move nothing.
    let figures = |place: usize| {
        let mut one = scenarios[place].as_object().unwrap().clone();
        one.retain(|key, _| key != "name" && key != "differs");
        one
    };
    assert!(moved(3).is_empty() && figures(0) == figures(3));
    // 16 A lowers every higher current, and raises none.
    // Where not one session of several points fits, what is shown is what was asked for.
    let fits = |site: &Value| site["points"] == 1 || site["points_served"].is_number();
    let faster: Vec<&String> = before
        .iter()
        .filter(|(_, site)| site["charging_current_a"].as_f64() > Some(16.0) && fits(site))
        .map(|(id, _)| id)
        .collect();
    let lowered = |id: &str| moved(1).iter().any(|one| one["site_id"] == id && one["charging_current_after_a"] == 16.0);
    assert!(faster.len() > 100 && faster.iter().all(|id| lowered(id)));
    assert_eq!(
        (&scenarios[1]["currents_lowered"], &scenarios[1]["currents_raised"]),
        (&faster.len().into(), &0.into())
    );
    // What others must allow is blocked, and says so; nothing gets better.
    let pending = |site: &Value| counted(site) == "marginal" && has_reason(site, "consent-pending");
    assert!(before.values().any(pending) && scenarios[2]["verdicts_better"] == 0);
    for (id, _) in before.iter().filter(|(_, site)| pending(site)) {
        let one = moved(2).iter().find(|one| one["site_id"] == id.as_str()).unwrap();
        assert_eq!(one["verdict_after"], "blocked");
        assert!(one["reason_after"].is_string());
    }
    // Dearer labour moves costs, upwards, and nothing else.
    assert!(moved(4).len() > 100 && scenarios[4]["costs_dearer"] == moved(4).len());
    for one in moved(4) {
        let same = |field: &str| one[format!("{field}_before")] == one[format!("{field}_after")];
        assert!(same("verdict") && same("hours_likely") && same("points") && same("reason"), "{one}");
        assert_eq!(one["charging_current_before_a"], one["charging_current_after_a"]);
    }
}

#[test]
fn a_scenario_that_cannot_be_used_is_refused_before_anything_is_written() {
    let (folder, copy) = with_copy(&root().join("sample-portfolio/four-columns.xlsx"));
    let file = copy.to_str().unwrap();
    let loose = folder.path().join("loose.toml");
    fs::write(&loose, "[circuit]\nelectrode_limit_ohm = 500\n").unwrap();
    let loose = loose.to_str().unwrap();
    let refused = baywright(&["assess", file, "--rules", "defaults", "--rules", loose]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("weaken safety"), "{}", text(&refused.stderr));
    let refused = baywright(&["assess", file, "--prices", "defaults", "--prices", "no-such-book.csv"]);
    assert!(text(&refused.stderr).contains("no-such-book.csv"), "{}", text(&refused.stderr));
    assert_eq!(names_in(folder.path()), ["four-columns.xlsx", "loose.toml"]);
    let twice = baywright(&["explain", file, "--site", "2", "--rules", "defaults", "--rules", "defaults"]);
    assert_eq!(twice.status.code(), Some(2), "a calculation has one set of rules");
    // Two files of one name are told apart by their folders.
    for side in ["north", "south"] {
        fs::create_dir(folder.path().join(side)).unwrap();
        fs::write(folder.path().join(side).join("mine.toml"), "[charging]\nsetting_steps_a = [16]\n").unwrap();
    }
    let place = |side: &str| folder.path().join(side).join("mine.toml").to_str().unwrap().to_owned();
    let (north, south) = (place("north"), place("south"));
    let done = baywright(&["assess", file, "--rules", "defaults", "--rules", &north, "--rules", &south]);
    let said = text(&done.stdout);
    assert!(done.status.success() && said.contains("north/mine.toml") && said.contains("south/mine.toml"), "{said}");
}
