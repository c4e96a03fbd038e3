//! Files laid over a portfolio, as people send them: answers to a questionnaire, a second survey, half-hourly data.

use super::{Fate, Intake, IntakeError, ReadOptions, read_bytes, read_bytes_with};
use crate::site::Answer;

const MAIN: &str = "Site ID,UPRN,Address,Postcode,Main fuse (A),Fuse evidence,Looped,Max demand (A),Cable run (m)\n\
    H1,100001,7 Fennel Row,QX4 7LP,80,label,,20,12\n\
    H2,100002,9 Fennel Row,QX4 7LP,60,,no,,14\n\
    H3,100003,11 Fennel Row,QX4 7LP,100,fuse,no,25,16\n";

fn laid(main: &str, with: &[(&str, &str)]) -> Result<Intake, IntakeError> {
    let with: Vec<(&str, &[u8])> = with.iter().map(|(name, text)| (*name, text.as_bytes())).collect();
    read_bytes_with(("Main.csv", main.as_bytes()), &with, &ReadOptions::default())
}

fn adds_up(intake: &Intake) {
    for layer in &intake.layers {
        assert_eq!(layer.rows_read, layer.joined() + layer.not_joined(), "{}: {:#?}", layer.name(), layer.lines);
    }
    assert_eq!(intake.rows.len(), intake.sites.len() + intake.set_aside.len());
}

#[test]
fn answers_come_back_and_fill_what_was_blank() {
    let answers = "UPRN,Looped,Main fuse (A)\n100001,no,60\n100009,yes,\n100002,,60\n\nTotal,,\n";
    let intake = laid(MAIN, &[("Answers.csv", answers)]).unwrap();
    adds_up(&intake);
    let layer = &intake.layers[0];
    assert_eq!((layer.rows_read, layer.joined(), layer.not_joined()), (4, 2, 2));
    let site = &intake.sites[0];
    assert_eq!(site.supply.looped_service.stated(), Some(&false));
    assert_eq!(site.supply.cutout_rating_a.value(), Some(80.0));
    // The cell that a value came from, and both cells of a disagreement.
    let from = site.elsewhere.iter().find(|own| own.field == "looped_service").unwrap();
    assert_eq!((&*from.cell.file, from.cell.row, from.cell.column), ("Answers.csv", 2, Some(1)));
    let conflict = &site.conflicts[0];
    assert!(conflict.open && conflict.field == "cutout_rating_a");
    assert_eq!((&*conflict.stands.file, conflict.stands.row, conflict.stands.column), ("Main.csv", 2, Some(4)));
    assert_eq!((conflict.stands.text.as_str(), conflict.other.text.as_str()), ("80", "60"));
    let told = layer.lines.iter().find(|line| line.fate == Fate::Conflict).unwrap();
    assert_eq!((told.cell.as_str(), told.against_cell.as_str()), ("C2", "Main.csv E2"));
    assert!(intake.sites[1].conflicts.is_empty());
}

#[test]
fn a_file_asks_only_of_the_rows_it_holds() {
    let intake = laid(MAIN, &[("Answers.csv", "Site ID,Meter tails mm2,Looped\nH1,,yes\n")]).unwrap();
    assert!(intake.sites[0].supply.tails_mm2.is_unknown());
    assert!(!intake.sites[1].supply.tails_mm2.was_asked());
}

#[test]
fn what_the_portfolio_lacks_may_stand_in_another_file() {
    let main = "Site ID,Address\nH1,7 Fennel Row\nH2,9 Fennel Row\n";
    let more = "Site ID,Main fuse (A),Max demand (A),Cable run (m)\nH1,80,20,12\n";
    let intake = laid(main, &[("Electrical.csv", more)]).unwrap();
    adds_up(&intake);
    assert_eq!((intake.sites.len(), intake.set_aside.len()), (1, 1));
    assert_eq!(intake.sites[0].load.existing_demand_a.value(), Some(20.0));
    let refused = laid(main, &[("Loops.csv", "Site ID,Looped\nH1,no\n")]).unwrap_err();
    assert_eq!(refused, read_bytes(main.as_bytes(), "Main.csv", &ReadOptions::default()).unwrap_err());
}

#[test]
fn a_later_survey_of_the_same_site_wins_and_both_are_listed() {
    let main =
        "Site ID,Address,Main fuse (A),Max demand (A),Cable run (m),Survey date\nH1,7 Fennel Row,100,20,12,1/3/2025\n";
    let visit = "Site ID,Main fuse (A),Survey date\nH1,60,2/3/2026\n";
    let intake = laid(main, &[("Visit.csv", visit)]).unwrap();
    let site = &intake.sites[0];
    assert_eq!(site.supply.cutout_rating_a.value(), Some(60.0));
    let conflict = &site.conflicts[0];
    assert!(conflict.by_date && !conflict.open);
    assert_eq!(
        (conflict.stands.text.as_str(), &*conflict.stands.file, conflict.other.text.as_str()),
        ("60", "Visit.csv", "100")
    );
    assert_eq!(intake.newest_date, Some(jiff::civil::date(2026, 3, 2)));
    let earlier = laid(main, &[("Visit.csv", &visit.replace("2026", "2024"))]).unwrap();
    assert_eq!(earlier.sites[0].supply.cutout_rating_a.value(), Some(100.0));
    assert!(earlier.sites[0].conflicts[0].open);
}

#[test]
fn addresses_join_with_a_stated_score_or_not_at_all() {
    let with = "Address,Postcode,Looped\n7 Fennell Row,QX4 7LP,no\n9 Fennel Row,QX4 7LQ,no\n";
    let intake = laid(MAIN, &[("Answers.csv", with)]).unwrap();
    adds_up(&intake);
    let layer = &intake.layers[0];
    assert_eq!((layer.joined(), layer.not_joined()), (1, 1));
    let joined = layer.lines.iter().find(|line| line.fate == Fate::Joined).unwrap();
    assert!(joined.remark.starts_with("By address, 0.9") && joined.site_row == 2, "{}", joined.remark);
}

#[test]
fn outcomes_are_named_their_command_and_never_taken_for_a_survey() {
    let outcomes = "site_id,verdict_on_site,hours\nH1,ready,6\n";
    let intake = laid(MAIN, &[("back.csv", outcomes)]).unwrap();
    adds_up(&intake);
    assert!(
        intake.layers[0].warnings[0].contains("outcomes") && intake.layers[0].warnings[0].contains("baywright learn")
    );
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]
    /// Whatever is laid over, what the portfolio states stays, rows add up, and the order of files matters for blanks only.
    #[test]
    fn joining_never_changes_what_the_portfolio_states(
        main in proptest::collection::vec(row(), 1..8),
        one in proptest::collection::vec(row(), 1..8),
        two in proptest::collection::vec(row(), 1..8),
    ) {
        let text = |rows: &[(u8, [Option<u8>; 5])]| {
            let mut text = "UPRN,Address,Main fuse (A),Looped,Earthing,Max demand (A),Cable run (m)\n".to_owned();
            for (place, [fuse, looped, earthing, demand, run]) in rows {
                let pick = |at: &Option<u8>, of: [&str; 3]| at.map_or("", |at| of[usize::from(at % 3)]).to_owned();
                let number = |at: &Option<u8>| at.map_or(String::new(), |at| (at % 40 + 10).to_string());
                text.push_str(&format!(
                    "10000{place},{place} Fennel Row,{},{},{},{},{}\n",
                    pick(fuse, ["60", "80", "100"]), pick(looped, ["yes", "no", "unknown"]),
                    pick(earthing, ["TN-S", "TT", "TN-C-S"]), number(demand), number(run),
                ));
            }
            text
        };
        let (main, one, two) = (text(&main), text(&one), text(&two));
        let alone = read_bytes(main.as_bytes(), "Main.csv", &ReadOptions::default()).unwrap();
        let forward = laid(&main, &[("One.csv", &one), ("Two.csv", &two)]).unwrap();
        let backward = laid(&main, &[("Two.csv", &two), ("One.csv", &one)]).unwrap();
        adds_up(&forward);
        for own in &alone.sites {
            let joined = forward.sites.iter().find(|site| site.row == own.row).unwrap();
            let turned = backward.sites.iter().find(|site| site.row == own.row).unwrap();
            macro_rules! stays {
                ($($part:ident . $field:ident),+) => {$(
                    let (before, after) = (&own.$part.$field, &joined.$part.$field);
                    if before.is_stated() {
                        proptest::prop_assert_eq!(before, after);
                        proptest::prop_assert_eq!(before, &turned.$part.$field);
                    }
                    proptest::prop_assert_eq!(after.is_stated(), turned.$part.$field.is_stated());
                )+};
            }
            stays!(supply.cutout_rating_a, supply.looped_service, supply.earthing_system, load.existing_demand_a,
                parking.parking_distance_m);
        }
    }
}

fn row() -> impl proptest::strategy::Strategy<Value = (u8, [Option<u8>; 5])> {
    (1u8..9, proptest::array::uniform5(proptest::option::of(proptest::prelude::any::<u8>())))
}

/// A year of half-hours of one meter: 1 kWh each, with a peak of 30 kWh on 5 January at 17:30.
fn year(heading: &str, unit: &str, days: i64, change: impl Fn(jiff::civil::Date, &mut Vec<String>)) -> String {
    let labels: Vec<String> = (0..48).map(|at| format!("{:02}:{:02}", at / 2, at % 2 * 30)).collect();
    let mut text = format!("{heading},Date,{}\n", labels.join(","));
    let first = jiff::civil::date(2025, 1, 1);
    for day in first.series(jiff::Span::new().days(1)).take(days as usize) {
        let mut values: Vec<String> = (0..48).map(|_| "1".to_owned()).collect();
        if day == jiff::civil::date(2025, 1, 5) {
            values[35] = "30".to_owned();
        }
        change(day, &mut values);
        text.push_str(&format!("H1,{:02}/{:02}/{},{}\n", day.day(), day.month(), day.year(), values.join(",")));
    }
    format!("Half-hourly data {unit}\n{text}")
}

#[test]
fn a_year_of_half_hours_becomes_a_profile_and_the_recorded_peak() {
    let text = year("Site ID", "kWh", 365, |_, _| {});
    let intake = laid(MAIN, &[("HH.csv", &text)]).unwrap();
    adds_up(&intake);
    let site = &intake.sites[0];
    let profile = site.profile.as_ref().unwrap();
    assert_eq!(
        (profile.days, profile.peak.date, profile.peak.half_hour),
        (365, Some(jiff::civil::date(2025, 1, 5)), 35)
    );
    // 30 kWh in half an hour are 60 kW, 63.158 kVA at 0.95.
    assert_eq!(site.supply.recorded_peak_kva.answer, Answer::Stated(63.158));
    assert_eq!(profile.mean[35].unwrap(), (364.0 * 2.0 + 60.0) / 365.0);
    assert_eq!(profile.greatest[10], Some(2.0));
    let from = site.elsewhere.iter().find(|own| own.field == "recorded_peak_kva").unwrap();
    assert_eq!((&*from.cell.file, from.cell.row, from.cell.column), ("HH.csv", 7, Some(37)));
    assert!(from.cell.text.contains("2025-01-05 at 17:30"), "{}", from.cell.text);
    assert!(intake.layers[0].joined() == 365 && intake.sites[1].profile.is_none());
}

#[test]
fn units_are_told_by_heading_or_by_size() {
    let peak = |unit: &str| {
        let intake = laid(MAIN, &[("HH.csv", &year("Site ID", unit, 365, |_, _| {}))]).unwrap();
        let said = intake.layers[0].lines.iter().map(|line| line.remark.clone()).collect::<String>();
        (intake.sites[0].supply.recorded_peak_kva.value().unwrap(), said.contains("by their size"))
    };
    assert_eq!(peak("kVA"), (30.0, false));
    assert_eq!(peak("kW"), (31.579, false));
    // An 80 A fuse carries 18.4 kVA, neither reading: the greater load is taken.
    assert_eq!(peak("figures"), (63.158, true));
}

#[test]
fn part_of_a_year_gives_a_doubtful_peak_and_a_week_gives_none() {
    let of = |days| laid(MAIN, &[("HH.csv", &year("Site ID", "kVA", days, |_, _| {}))]).unwrap();
    assert_eq!(
        of(90).sites[0].supply.recorded_peak_kva.answer,
        Answer::Doubtful { low: 30.0, likely: 30.0, high: 45.0 }
    );
    let week = of(7);
    assert!(!week.sites[0].supply.recorded_peak_kva.is_stated() && week.sites[0].profile.is_some());
}

#[test]
fn the_clocks_change_and_gaps_and_doubles_are_reported() {
    let spring = jiff::civil::date(2025, 3, 30);
    let autumn = jiff::civil::date(2025, 10, 26);
    let text = year("Site ID", "kWh", 365, |day, values| {
        if day == spring {
            (values[2], values[3]) = ("0".into(), "0".into());
        } else if day == autumn {
            (values[2], values[3]) = ("2".into(), "2".into());
        } else if day.month() == 6 && day.day() == 1 {
            values[7] = String::new();
            values[8] = "fault".to_owned();
        }
    });
    let intake = laid(MAIN, &[("HH.csv", &text)]).unwrap();
    let profile = intake.sites[0].profile.clone().unwrap();
    assert_eq!(profile.gaps, 2, "two half-hours of June");
    assert_eq!(
        (profile.greatest[2], profile.mean[2]),
        (Some(2.0), Some(2.0)),
        "no nought in spring, no double in autumn"
    );
    let said: String = intake.layers[0].lines.iter().map(|line| line.remark.as_str()).collect();
    for part in ["spring change", "autumn change", "1 values are no figures", "2 half-hours missing"] {
        assert!(said.contains(part), "{part} is not in {said}");
    }
    // 46 and 50 columns.
    let long = year("Site ID", "kWh", 365, |day, values| {
        if day == spring {
            values.truncate(46);
        } else if day == autumn {
            values.extend(["1".into(), "1".into()]);
        }
    });
    let long = long.replacen("23:30", "23:30,49,50", 1).replace("00:00,", "1,");
    let labels: Vec<String> = (1..=50).map(|at| at.to_string()).collect();
    let long = long
        .lines()
        .enumerate()
        .map(|(at, line)| if at == 1 { format!("Site ID,Date,{}\n", labels.join(",")) } else { format!("{line}\n") });
    let intake = laid(MAIN, &[("HH.csv", &long.collect::<String>())]).unwrap();
    let profile = intake.sites[0].profile.clone().unwrap();
    assert_eq!((profile.gaps, profile.greatest[2]), (0, Some(2.0)));
}

#[test]
fn reactive_and_export_lines_are_told_apart_and_the_later_of_two_lines_is_used() {
    let labels: Vec<String> = (1..=48).map(|at| format!("HH{at}")).collect();
    let mut text = format!("MPAN,Measurement,Units,Reading date,{}\n", labels.join(","));
    let main = MAIN.replace("Site ID", "MPAN").replace("H1,", "1012345678903,");
    for day in 1..=28 {
        for (what, unit, value) in [
            ("AI", "kWh", "2"),
            ("AE", "kWh", "90"),
            ("RI", "kVArh", "80"),
            ("AI", "kWh", if day == 3 { "4" } else { "3" }),
        ] {
            let values = vec![value; 48].join(",");
            text.push_str(&format!("1012345678903,{what},{unit},2026-02-{day:02},{values}\n"));
        }
    }
    let intake = laid(&main, &[("HH.csv", &text)]).unwrap();
    adds_up(&intake);
    let layer = &intake.layers[0];
    assert_eq!((layer.joined(), layer.not_joined()), (56, 56));
    let profile = intake.sites[0].profile.clone().unwrap();
    assert_eq!((profile.peak.value, profile.peak.date), (8.0, Some(jiff::civil::date(2026, 2, 3))));
    let said: String = layer.lines.iter().map(|line| line.remark.as_str()).collect();
    assert!(said.contains("exported") && said.contains("reactive") && said.contains("28 stood twice"), "{said}");
}

#[test]
fn a_line_a_half_hour_is_read_too() {
    let mut text = "site_id,Timestamp (end),Import kW\n".to_owned();
    for day in 1..=30 {
        for half in 1..=48 {
            let (date, hour) = if half == 48 {
                (day + 1, "00:00".to_owned())
            } else {
                (day, format!("{:02}:{:02}", half / 2, half % 2 * 30))
            };
            let date = if date == 31 { "2026-05-01".to_owned() } else { format!("2026-04-{date:02}") };
            let value = if day == 9 && half == 20 { "19" } else { "5" };
            text.push_str(&format!("H1,{date} {hour},{value}\n"));
        }
    }
    let intake = laid(MAIN, &[("export.csv", &text)]).unwrap();
    adds_up(&intake);
    let profile = intake.sites[0].profile.clone().unwrap();
    assert_eq!((profile.days, profile.gaps, profile.coverage), (30, 0, 1.0));
    // The half-hour that ends at 10:00 is the nineteenth from midnight.
    assert_eq!((profile.peak.value, profile.peak.half_hour), (19.0, 19));
    let from = &intake.sites[0].elsewhere[0];
    assert_eq!((from.cell.row, from.cell.column), (8 * 48 + 21, Some(2)));
}

/// A year of two meters, kVA: each draws 1, the first 20 on a January evening, the second 12 in another month.
fn two_meters(first: impl Fn(jiff::civil::Date) -> bool, second: impl Fn(jiff::civil::Date) -> bool) -> String {
    let labels: Vec<String> = (1..=48).map(|at| format!("HH{at}")).collect();
    let mut text = format!("MPAN,Serial,Units,Date,{}\n", labels.join(","));
    let begin = jiff::civil::date(2025, 1, 1);
    for day in begin.series(jiff::Span::new().days(1)).take(365) {
        let mut line = |serial: &str, at: usize, value: Option<&str>| {
            let mut values = vec!["1"; 48];
            if let Some(value) = value {
                values[at] = value;
            }
            text.push_str(&format!("1012345678903,{serial},kVA,{day},{}\n", values.join(",")));
        };
        if first(day) {
            line("K1", 35, (day == begin).then_some("20"));
        }
        if second(day) {
            line("K2", 20, (day == jiff::civil::date(2025, 11, 3)).then_some("12"));
        }
    }
    text
}

#[test]
fn where_one_of_two_meters_is_missing_it_counts_with_its_own_highest() {
    let main = MAIN.replace("Site ID", "MPAN").replace("H1,", "1012345678903,");
    let peak = |text: String| {
        let intake = laid(&main, &[("HH.csv", &text)]).unwrap();
        let profile = intake.sites[0].profile.clone().unwrap();
        let said: String = intake.layers[0].lines.iter().map(|line| line.remark.as_str()).collect();
        (intake.sites[0].supply.recorded_peak_kva.answer.clone(), profile.gaps, said)
    };
    let begin = jiff::civil::date(2025, 1, 1);
    let (whole, gaps, _) = peak(two_meters(|_| true, |_| true));
    assert_eq!((whole, gaps), (Answer::Stated(21.0), 0));
    // The second is missing on the very day: 20 alone is what was drawn at least, 32 what it may have been.
    let (in_part, gaps, said) = peak(two_meters(|_| true, |day| day != begin));
    assert_eq!((in_part, gaps), (Answer::Doubtful { low: 20.0, likely: 32.0, high: 32.0 }, 48));
    assert!(said.contains("48 half-hours are there by some of the meters only"), "{said}");
    // A day missing where nothing much was drawn moves nothing beyond what could have been.
    let quiet = jiff::civil::date(2025, 6, 1);
    let (in_part, gaps, _) = peak(two_meters(|_| true, |day| day != quiet));
    assert_eq!((in_part, gaps), (Answer::Stated(21.0), 48));
}

#[test]
fn a_meter_that_was_changed_is_not_two() {
    let main = MAIN.replace("Site ID", "MPAN").replace("H1,", "1012345678903,");
    let change = jiff::civil::date(2025, 7, 1);
    let text = two_meters(|day| day < change, |day| day >= change);
    let intake = laid(&main, &[("HH.csv", &text)]).unwrap();
    let profile = intake.sites[0].profile.clone().unwrap();
    assert_eq!((profile.meters, profile.gaps, profile.days), (1, 0, 365));
    assert_eq!(intake.sites[0].supply.recorded_peak_kva.answer, Answer::Stated(20.0));
}

#[test]
fn a_further_file_is_held_against_the_same_day() {
    let more = "Site ID,Address,Main fuse (A),Max demand (A),Cable run (m),Survey date\n\
        H1,7 Fennel Row,80,20,12,03/02/2031\nH2,9 Fennel Row,60,20,14,04/02/2026\n";
    let with: [(&str, &[u8]); 1] = [("Dates.csv", more.as_bytes())];
    let options = ReadOptions { as_of: Some(jiff::civil::date(2026, 11, 25)), ..ReadOptions::default() };
    let date = |options: &ReadOptions| {
        let intake = read_bytes_with(("Main.csv", MAIN.as_bytes()), &with, options).unwrap();
        intake.sites[0].identity.survey_date.value().is_some()
    };
    assert!(date(&ReadOptions::default()));
    assert!(!date(&options));
}
