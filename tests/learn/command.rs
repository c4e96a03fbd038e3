//! The command as a user gives it: page, workbook, document and overlays; inputs never written to; whatever stands in a
//! file of outcomes is read, told or refused, and never a panic.

use calamine::{Reader, Xlsx, open_workbook};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const SITES: usize = 48;

fn baywright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_baywright")).args(arguments).output().expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Houses of before the war of which nobody knows whether they share a service.
fn portfolio(folder: &Path) -> PathBuf {
    let mut sheet = String::from(
        "site_id,address,postcode,premises_type,tenure,lot,survey_method,supply_phases,cutout_rating_a,cutout_evidence,\
         cutout_condition,looped_service,earthing_system,ze_ohm,existing_demand_a,demand_method,board_condition,\
         parking_type,parking_distance_m,listed,asbestos_on_route,consent_status,year_built\n",
    );
    for at in 1..=SITES {
        let lot = if at % 2 == 0 { "North" } else { "South" };
        sheet.push_str(&format!(
            "H{at},{at} Fennel Row,QX4 7LP,house,owner,{lot},visit,1,80,fuse,sound,,TN-C-S,0.2,{},measured,sound,\
             driveway,{},no,no,granted,1930\n",
            14 + at % 9,
            6 + at % 17
        ));
    }
    let path = folder.join("portfolio.csv");
    fs::write(&path, sheet).unwrap();
    path
}

/// Every other house has a loop; each costs a tenth more than a round figure and takes more hours the longer its way.
fn outcomes(folder: &Path, name: &str, backwards: bool) -> PathBuf {
    let mut lines: Vec<String> = (1..=SITES)
        .map(|at| {
            let looped = at % 2 == 0;
            let (verdict, word) = if looped { ("marginal", "yes") } else { ("ready", "no") };
            format!("H{at},{verdict},\"£{}.50\",{},2026-12-0{},{word}\n", 1_100 + at, 8 + at % 5, 1 + at % 9)
        })
        .collect();
    if backwards {
        lines.reverse();
    }
    let path = folder.join(name);
    let head = "Site ID,Verdict on site,Installed cost (£),Hours,Date,Looped service\n";
    fs::write(&path, head.to_owned() + &lines.concat()).unwrap();
    path
}

fn learn(portfolio: &Path, from: &Path, more: &[&str]) -> Output {
    let mut arguments = vec!["learn", portfolio.to_str().unwrap(), "--from", from.to_str().unwrap()];
    arguments.extend(more);
    baywright(&arguments)
}

fn document(portfolio: &Path, from: &Path, result: &Path, more: &[&str]) -> (String, Value) {
    let mut arguments = vec!["-o", result.to_str().unwrap(), "--json", "--force"];
    arguments.extend(more);
    let output = learn(portfolio, from, &arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let json = fs::read(result.with_extension("json")).unwrap();
    (text(&output.stdout), serde_json::from_slice(&json).unwrap())
}

#[test]
fn a_portfolio_is_held_against_what_happened() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (portfolio, from) = (portfolio(folder.path()), outcomes(folder.path(), "outcomes.csv", false));
    let inputs = [fs::read(&portfolio).unwrap(), fs::read(&from).unwrap()];
    let (rules, prices) = (at("learned.toml"), at("learned.csv"));
    let save = ["--save-rules", rules.to_str().unwrap(), "--save-prices", prices.to_str().unwrap(), "--threads", "1"];
    let (page, told) = document(&portfolio, &from, &at("o.xlsx"), &save);
    assert!(page.lines().count() <= 60, "{}\n{page}", page.lines().count());
    for words in
        ["48 sites of 48 judged", "Brier score", "Safety is never learned", "looped_service, built before 1945"]
    {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert_eq!(told["sites"].as_array().unwrap().len(), SITES);
    assert_eq!(told["not_used"].as_array().unwrap().len(), 0);
    assert_eq!((&told["cost"][0]["by"], &told["cost"][0]["sites"]), (&"all".into(), &SITES.into()));
    let weight = &told["weights"][0];
    assert_eq!(weight["field"], "looped_service");
    // (5 * 0.2 + 24) / (5 + 48), as every loop was seen.
    let after = weight["values"][1]["after"].as_f64().unwrap();
    assert!((after - 25.0 / 53.0).abs() < 1e-3, "{weight}");
    let mut book: Xlsx<_> = open_workbook(at("o.xlsx")).unwrap();
    assert_eq!(book.sheet_names(), ["Outcomes", "Sites", "Priors", "Task hours", "Not used"]);
    assert_eq!(book.worksheet_range("Sites").unwrap().rows().count(), SITES + 1);

    // What is proposed is read again, and the chance of ready comes nearer to what was found.
    let base = |told: &Value| told["verdicts"]["brier"].as_f64().unwrap();
    let (_, again) = document(&portfolio, &from, &at("again.xlsx"), &["--rules", rules.to_str().unwrap()]);
    assert!(base(&again) < base(&told), "{} {}", base(&again), base(&told));
    if prices.exists() {
        document(&portfolio, &from, &at("priced.xlsx"), &["--prices", prices.to_str().unwrap()]);
    }

    // The same from two threads, byte for byte; the order of the outcomes' rows moves nothing but their numbers.
    let (one, one_book) = (fs::read(at("o.json")).unwrap(), fs::read(at("o.xlsx")).unwrap());
    document(&portfolio, &from, &at("o.xlsx"), &["--threads", "2"]);
    assert!(fs::read(at("o.json")).unwrap() == one && fs::read(at("o.xlsx")).unwrap() == one_book);
    let (_, backwards) = document(&portfolio, &outcomes(folder.path(), "backwards.csv", true), &at("b.xlsx"), &[]);
    for part in ["verdicts", "cost", "hours", "tasks", "weights"] {
        assert_eq!(told[part], backwards[part], "{part}");
    }
    assert!([fs::read(&portfolio).unwrap(), fs::read(&from).unwrap()] == inputs, "an input was written to");
}

#[test]
fn nothing_is_written_over_an_input_or_twice_to_one_place() {
    let folder = tempfile::tempdir().unwrap();
    let (portfolio, from) = (portfolio(folder.path()), outcomes(folder.path(), "outcomes.csv", false));
    let inputs = [fs::read(&portfolio).unwrap(), fs::read(&from).unwrap()];
    let twice = folder.path().join("x.toml");
    let [portfolio_, from_, twice_] = [&portfolio, &from, &twice].map(|path| path.to_str().unwrap());
    for more in [
        &["--save-rules", from_, "--force"][..],
        &["--save-prices", portfolio_, "--force"],
        &["--save-rules", twice_, "--save-prices", twice_],
        &["-o", "not-a-workbook.csv"],
        &["--rules", "defaults", "--rules", "defaults"],
    ] {
        let output = learn(&portfolio, &from, more);
        assert!(!output.status.success(), "{more:?}: {}", text(&output.stdout));
    }
    assert!(!twice.exists());
    assert!([fs::read(&portfolio).unwrap(), fs::read(&from).unwrap()] == inputs, "an input was written to");
}

#[test]
fn whatever_stands_in_outcomes_is_read_told_or_refused() {
    let folder = tempfile::tempdir().unwrap();
    let portfolio = portfolio(folder.path());
    let head = "site_id,verdict_on_site,installed_cost_gbp,hours,date,looped_service,cutout_rating_a\n";
    let long = "x".repeat(40_000);
    let bodies = [
        String::new(),
        head.to_owned(),
        format!("{head}H1,,,,,,\nH1,,,,,,\n"),
        format!("{head}H1,ready,NaN,inf,9999-99-99,perhaps,-80\nH2,=1+1,1e400,-1e-400,0,yes,1e308\n"),
        format!("{head}H1,\u{1b}[31mready,£,h,\u{0},\u{7},\u{202e}80\n\u{1b}]0;x,ready,1,1,,,\n"),
        format!("{head}{long},{long},{long},{long},{long},{long},{long}\n"),
        format!("{head}H1,ready,0.001,0.1,2026-02-30,no,60\nH1,blocked,50000001,100001,1900-01-01,yes,100\n"),
        format!("{head}{}", "H1,ready,100,1,,no,60\n".repeat(300)),
        format!("{head}{}", (1..=SITES).map(|at| format!("H{at},blocked,1,0.1,,yes,32\n")).collect::<String>()),
        "site_id,site_id,hours,hours\nH1,H2,3,4\n".to_owned(),
        "uprn,hours\n100001,3\nabc,4\n,5\n".to_owned(),
        "PK\u{3}\u{4}not a workbook".to_owned(),
    ];
    for (at, body) in bodies.iter().enumerate() {
        let from = folder.path().join(format!("outcomes-{at}.csv"));
        fs::write(&from, body).unwrap();
        let (rules, prices) = (folder.path().join("l.toml"), folder.path().join("l.csv"));
        let more = ["--save-rules", rules.to_str().unwrap(), "--save-prices", prices.to_str().unwrap(), "--force"];
        let output = learn(&portfolio, &from, &more);
        let (said, fault) = (text(&output.stdout), text(&output.stderr));
        assert!(!fault.contains("panicked") && output.status.code().is_some_and(|code| code <= 1), "{at}: {fault}");
        assert!(output.status.success() || fault.contains(&format!("outcomes-{at}.csv")), "{at}: {fault}");
        assert!(!said.contains('\u{1b}') && !fault.contains('\u{1b}'), "{at}: a command for the terminal came through");
        if rules.exists() {
            let output = learn(&portfolio, &from, &["--rules", rules.to_str().unwrap()]);
            assert!(output.status.success(), "{at}: {}", text(&output.stderr));
            fs::remove_file(&rules).unwrap();
        }
        if prices.exists() {
            let output = learn(&portfolio, &from, &["--prices", prices.to_str().unwrap()]);
            assert!(output.status.success(), "{at}: {}", text(&output.stderr));
            fs::remove_file(&prices).unwrap();
        }
    }
}
